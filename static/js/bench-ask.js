/* One question at a time, in a dialog of the page: yes, perhaps a second answer, or leave it. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var dialog = null, before = null;

  function close(deed) {
    dialog.close();
    if (before && before.isConnected) { before.focus(); }
    if (deed) { deed(); }
  }

  function button(answer, look) {
    var made = document.createElement("button");
    made.type = "button";
    made.textContent = answer.says;
    if (look) { made.className = "go"; }
    made.addEventListener("click", function () { close(answer.does); });
    return made;
  }

  /* ``answers``: [{says, does}]; the first has the focus. "Cancel" is added; where ``stay`` is given, it
     stands instead, and has the focus, since what is asked about is seldom meant. */
  Bench.ask = function (box, question, answers, stay) {
    dialog = box;
    before = document.activeElement;
    dialog.querySelector("p").textContent = question;
    var row = dialog.querySelector("[data-bench=answers]"), all = answers.concat([{ says: stay || "Cancel", does: null }]);
    var first = stay ? all.length - 1 : 0, buttons = all.map(function (answer, place) { return button(answer, place === first); });
    row.replaceChildren.apply(row, buttons);
    dialog.showModal();
    buttons[first].focus();
  };

  Bench.asking = function () { return Boolean(dialog && dialog.open); };
  /* A page turner answers too: forwards leaves it, backwards once more means yes. */
  Bench.answer = function (yes) {
    var buttons = dialog.querySelectorAll("[data-bench=answers] button");
    buttons[yes ? 0 : buttons.length - 1].click();
  };
})(window.Bench);
