/* What checks ask of the hand, and what a wrong depth does, as the studio's last answer says. The page brings
   both with it; what changed since is built anew in the same shape. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";

  function made(name, text, values) {
    var node = document.createElement(name);
    if (text) { node.textContent = text; }
    Object.keys(values || {}).forEach(function (key) { node.setAttribute(key, values[key]); });
    return node;
  }

  function form(kind, fields, says, label) {
    var box = made("form", "", { "data-form": kind, method: "post" }), button = made("button", says, { type: "submit" });
    Object.keys(fields).forEach(function (name) { box.append(made("input", "", { type: "hidden", name: name, value: fields[name] })); });
    if (label) { button.setAttribute("aria-label", label); }
    box.append(button);
    return box;
  }

  /* To the studio itself: the timer is its own. */
  function again(where) {
    var box = form("", { rework: "1", csrfmiddlewaretoken: Bench.token() }, "I sew it again now");
    box.removeAttribute("data-form");
    box.action = where;
    return box;
  }

  function row(forms) {
    var box = made("div", "", { "class": "row" });
    box.append.apply(box, forms);
    return box;
  }

  function section(title, id, look) {
    var box = made("section", "", { "class": "sheet " + look, "aria-labelledby": id });
    box.append(made("h2", title, { id: id }));
    return box;
  }

  function wrong(found) {
    var box = section("Another depth", "wrong", "bench-wrong");
    var forms = [form("resew", { unit: found.unit }, "It is sewn again, right"), form("absorb", { unit: found.unit }, "Leave it")];
    if (found.again) { forms.unshift(again(found.again)); }
    box.append(made("p", found.text + " " + found.how), row(forms));
    return box;
  }

  function instruction(kind, one, yes) {
    var box = made("div", "", { "class": "instruction" }), line = made("p");
    line.append(made("b", one.text));
    box.append(line, row([
      form(kind, { asked: JSON.stringify(one.asked) }, yes), form(kind, { refused: "1" }, "Not now", "Not now: " + one.text)
    ]));
    return box;
  }

  function advice(found) {
    var box = section(found.lines.length ? "What the measures say" : "From here on", "advice", "");
    found.lines.forEach(function (text) { box.append(made("p", text)); });
    if (found.guide) { box.append(instruction("guide", found.guide, "The guide is moved")); }
    if (found.correct) { box.append(instruction("correct", found.correct, "I will")); }
    if (found.stays) { box.append(made("p", found.stays, { "class": "quiet" })); }
    return box;
  }

  function renew(root, name, found, build) {
    root.querySelectorAll("[data-bench=" + name + "]").forEach(function (box) {
      var now = JSON.stringify(found || null);
      if (box.dataset.shown === now || (box.dataset.shown === undefined && Boolean(found) === Boolean(box.firstElementChild))) {
        box.dataset.shown = now;
        return;
      }
      var had = box.contains(document.activeElement), button = root.querySelector("[data-bench=sewn]");
      box.dataset.shown = now;
      box.replaceChildren.apply(box, found ? [build(found)] : []);
      if (had && button) { button.focus(); }
    });
  }

  Bench.showAdvice = function (root, view) {
    renew(root, "wrong", view.wrong, wrong);
    renew(root, "advice", view.advice, advice);
  };
})(window.Bench);
