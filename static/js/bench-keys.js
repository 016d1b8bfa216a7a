/* The space bar and a page turner: forwards is "sewn", backwards asks whether to take the last one back. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var ON = [" ", "PageDown", "ArrowRight", "Enter"], BACK = ["PageUp", "ArrowLeft"];
  var OWN = "input, select, textarea, summary, a, button, [contenteditable], dialog";

  /* Keys are the page's own business where something that takes keys has the focus; the big button is ours. */
  function free(target) {
    var owner = target.closest ? target.closest(OWN) : null;
    return !owner || owner.matches("[data-bench=sewn]");
  }

  Bench.keys = function (sewn, back) {
    document.addEventListener("keydown", function (event) {
      if (event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) { return; }
      var on = ON.indexOf(event.key) >= 0, off = BACK.indexOf(event.key) >= 0;
      if (!on && !off) { return; }
      if (Bench.asking()) {
        if (event.key.indexOf("Page") !== 0) { return; }
        event.preventDefault();
        if (!event.repeat) { Bench.answer(off); }
        return;
      }
      if (!free(event.target)) { return; }
      event.preventDefault();
      if (event.repeat) { return; }
      if (on) { sewn(); } else { back(); }
    });
    // A button that has the focus would be pressed once more when the key is let go.
    document.addEventListener("keyup", function (event) {
      if (event.key === " " && event.target.matches && event.target.matches("[data-bench=sewn]")) { event.preventDefault(); }
    });
  };
})(window.Bench);
