/* Small helps. Every page works without this file. */
(function () {
  "use strict";
  document.documentElement.classList.add("js");

  function focusProblems(root) {
    var box = root.querySelector ? root.querySelector(".problems") : null;
    if (box) { box.focus(); }
  }

  document.addEventListener("DOMContentLoaded", function () {
    focusProblems(document);
    // The people's menu closes on Escape and when the focus leaves it.
    document.querySelectorAll("details.who").forEach(function (menu) {
      menu.addEventListener("keydown", function (event) {
        if (event.key === "Escape") { menu.open = false; menu.querySelector("summary").focus(); }
      });
      document.addEventListener("click", function (event) {
        if (!menu.contains(event.target)) { menu.open = false; }
      });
    });
    // A running timer shows the time since its start; the server's own start time is what counts.
    document.querySelectorAll("time[data-since]").forEach(function (clock) {
      function show() {
        var since = Date.parse(clock.dataset.since);
        var seconds = Math.max(0, Math.floor((Date.now() - since) / 1000));
        var parts = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
        clock.textContent = parts.map(function (n, i) { return i ? String(n).padStart(2, "0") : String(n); }).join(":");
      }
      show();
      window.setInterval(show, 1000);
    });
    // What is due at a moment (a break, a question) shows then; the server shows it itself on the next visit.
    function showDue() {
      document.querySelectorAll("[data-show-at][hidden]").forEach(function (part) {
        if (Date.now() >= Date.parse(part.dataset.showAt)) { part.hidden = false; }
      });
    }
    showDue();
    window.setInterval(showDue, 5000);
  });
  document.addEventListener("htmx:afterSwap", function (event) { focusProblems(event.target); });
  document.addEventListener("htmx:sendError", function () {
    var box = document.getElementById("live");
    if (box) { box.textContent = "The studio's computer did not answer. What you typed is still here; try again."; }
  });
})();
