/* Opens the bench page: what the device kept is taken in first, then taps, keys and forms are listened to. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";

  function device() {
    try {
      var name = window.localStorage.getItem("bench-device") || Bench.newId();
      window.localStorage.setItem("bench-device", name);
      return name;
    } catch (error) { return Bench.newId(); }
  }

  /* On a low screen the large button is seen without scrolling. */
  function bring(button, root) {
    var bar = document.querySelector(".rail"), foot = bar && window.getComputedStyle(bar).position === "fixed" ? bar.offsetHeight : 0;
    var lowest = window.innerHeight - foot;
    var phone = window.matchMedia("(max-width: 760px)").matches, low = button && button.getBoundingClientRect().bottom > lowest;
    if (!document.querySelector(".problems") && (low || phone) && window.scrollY < root.offsetTop) { root.scrollIntoView(); }
  }

  /* What is tapped while the device is still asked waits until the page listens, and keeps the unit that was
     shown: without connection the plain form would lead nowhere. */
  function early(root) {
    var held = [];
    function hold(event) {
      var unit = event.target.elements.unit;
      event.preventDefault();
      event.stopPropagation();
      if (held.some(function (one) { return one.form === event.target; })) { return; }
      held.push({ form: event.target, by: event.submitter, unit: unit && unit.value });
    }
    root.addEventListener("submit", hold, true);
    return function () {
      root.removeEventListener("submit", hold, true);
      held.forEach(function (one) {
        if (one.unit) { one.form.elements.unit.value = one.unit; }
        one.form.requestSubmit(one.by);
      });
    };
  }

  function start() {
    var root = document.getElementById("bench"), written = document.getElementById("bench-data");
    if (!root || !written) { return; }
    var data = JSON.parse(written.textContent);
    var release = early(root);
    data.device = device();
    Bench.recall(data).then(function () { begin(root, data); }).finally(release);
  }

  /* What is asked for is typed at once; of two beside one another one is open. */
  function opened(page, fold) {
    if (!fold.open) { return; }
    page.show(true);
    if (!fold.matches(".bench-other")) { return; }
    fold.parentElement.querySelectorAll("details[open]").forEach(function (other) { if (other !== fold) { other.open = false; } });
    fold.querySelector("input:not([type=hidden])").focus();
  }

  /* What the page asks for by itself leads nowhere else: signed out, it stays, with the taps that wait. */
  function stay(event) {
    if (event.target.matches("[data-bench=after]") && event.detail.xhr.getResponseHeader("HX-Redirect")) { event.preventDefault(); }
  }

  function begin(root, data) {
    var page = new Bench.Page(root, data);
    root.querySelectorAll("[data-bench=sewn]").forEach(function (button) {
      button.addEventListener("pointerdown", function () { page.taps.press(Number(button.dataset.unit)); });
    });
    // A link to another unit is a jump; the address then says no more about it, so that a reload doesn't jump again.
    if (/[?&]to=/.test(window.location.search) && data.now && data.now.number) {
      page.model.jump(data.now.number);
      window.history.replaceState(null, "", window.location.pathname);
    }
    root.querySelectorAll("[data-bench=open-go]").forEach(function (link) {
      link.addEventListener("click", function (event) {
        event.preventDefault();
        page.model.jump(Number(link.dataset.unit));
        page.show(false);
        root.scrollIntoView();
      });
    });
    Bench.hushAgain(root);
    root.addEventListener("htmx:beforeOnLoad", stay);
    Bench.forms(root, page);
    Bench.keys(function () { page.key(); }, function () { page.undoLast(); });
    root.querySelectorAll("details").forEach(function (fold) { fold.addEventListener("toggle", function () { opened(page, fold); }); });
    page.one("device").hidden = false;
    Bench.keepAwake(page.one("awake"), page.one("awake-said"));
    Bench.noticeSleep(function (from, to) {
      var box = page.one("slept");
      box.hidden = false;
      box.textContent = "This device slept from " + from + " to " + to + ". The timer went on; if you were away, take that time off your hours.";
    });
    document.addEventListener("click", function (event) { page.leaving(event); });
    window.addEventListener("beforeunload", function (event) { if (page.outbox.atRisk()) { event.preventDefault(); } });
    page.show(true);
    bring(page.one("sewn"), root);
    if (navigator.onLine === false) { page.told("away", ""); }
    page.sender.start();
    Bench.keepPage(root, function (yes, text) { page.keeps(yes, text); });
  }

  document.addEventListener("DOMContentLoaded", start);
})(window.Bench);
