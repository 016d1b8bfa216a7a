/* The lines below the bench that say how taps and device stand. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";

  function taps(count) { return count === 1 ? "1 tap waits here" : count + " taps wait here"; }

  function put(box, text) {
    box.hidden = !text;
    if (box.textContent !== text) { box.textContent = text; }
  }

  function words(outbox, link) {
    var count = outbox.waiting().length, said = [];
    if (link.state === "away") {
      said.push("No connection: " + (count ? taps(count) + "." : "taps wait here until it is back.") + (link.kept ? "" : " Stay on this page."));
    }
    else if (link.state === "out") { said.push(link.why + (count ? " Until then " + taps(count) + "." : "")); }
    else if (link.slow && count) { said.push("Sending: " + taps(count) + "."); }
    if (outbox.fails) {
      said.push("This browser keeps nothing on the device (a private window, or its room is full): each tap is sent at once" +
        (outbox.atRisk() ? ", and " + taps(outbox.atRisk()) + " only until this page is closed." : "."));
    }
    return said.join(" ");
  }

  function elsewhere(outbox) {
    var found = outbox.elsewhere(), said = [];
    if (found.others) { said.push("Of somebody else, " + taps(found.others) + " until they are at this bench again."); }
    if (found.runs) { said.push("Of yours at another run, " + taps(found.runs) + " until you open it."); }
    return said.join(" ");
  }

  function refusals(box, outbox, label, again) {
    var entries = outbox.refused(), list = box.querySelector("ul");
    box.hidden = !entries.length;
    list.replaceChildren();
    entries.forEach(function (entry) {
      var item = document.createElement("li"), drop = document.createElement("button");
      item.textContent = label(entry.fact) + ": " + entry.refused + " ";
      drop.type = "button";
      drop.textContent = "Drop it";
      drop.setAttribute("aria-label", "Drop " + label(entry.fact));
      drop.addEventListener("click", function () { outbox.drop(entry.fact.op); again(); });
      item.appendChild(drop);
      list.appendChild(item);
    });
  }

  /* What the studio said on opening has been read by the next tap. */
  Bench.hush = function () {
    document.querySelectorAll("main > .messages").forEach(function (box) { box.remove(); });
  };

  /* A page that is shown once more, from the device, says nothing again: each one's ids are its own. */
  Bench.hushAgain = function (root) {
    var first = root.querySelector("[name=op]"), op = first && first.getAttribute("value");
    try {
      if (op && window.localStorage.getItem("bench-shown") === op) { Bench.hush(); }
      window.localStorage.setItem("bench-shown", op || "");
    } catch (error) { return; }
  };

  /* ``link`` is {state, why, slow, status}; ``label`` says what a fact is; ``again`` shows the page anew. */
  Bench.showLines = function (root, outbox, link, label, again) {
    function box(name) { return root.querySelector("[data-bench=" + name + "]"); }
    put(box("connection"), words(outbox, link));
    box("sign-in").hidden = link.status !== 403 && link.status !== 401;
    box("whose").hidden = link.status !== 409;
    put(box("others"), elsewhere(outbox));
    refusals(box("refused"), outbox, label, again);
  };
})(window.Bench);
