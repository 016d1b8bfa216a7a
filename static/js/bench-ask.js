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

  function button(answer, first) {
    var made = document.createElement("button");
    made.type = "button";
    made.textContent = answer.says;
    if (first) { made.className = "go"; }
    made.addEventListener("click", function () { close(answer.does); });
    return made;
  }

  /* ``answers``: [{says, does}]; the first has the focus. "Leave it" is added. */
  Bench.ask = function (box, question, answers) {
    dialog = box;
    before = document.activeElement;
    dialog.querySelector("p").textContent = question;
    var row = dialog.querySelector("[data-bench=answers]");
    row.replaceChildren();
    answers.concat([{ says: "Leave it", does: null }]).forEach(function (answer, place) {
      row.appendChild(button(answer, place === 0));
    });
    dialog.showModal();
    row.querySelector("button").focus();
  };

  Bench.asking = function () { return Boolean(dialog && dialog.open); };
  /* A page turner answers too: forwards leaves it, backwards once more means yes. */
  Bench.answer = function (yes) {
    var buttons = dialog.querySelectorAll("[data-bench=answers] button");
    buttons[yes ? 0 : buttons.length - 1].click();
  };
})(window.Bench);
