/* Puts what the model says into the page. Words of the studio's own stay where they are; only figures change. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" "), LATEST = 10;

  function all(root, name) { return Array.from(root.querySelectorAll("[data-bench=\"" + name + "\"]")); }

  function put(root, name, text) {
    all(root, name).forEach(function (box) { if (box.textContent !== text) { box.textContent = text; } });
  }

  function show(root, name, yes) { all(root, name).forEach(function (box) { box.hidden = !yes; }); }

  function fill(root, form, values) {
    root.querySelectorAll("[data-form=\"" + form + "\"]").forEach(function (one) {
      Object.keys(values).forEach(function (name) {
        var field = one.elements[name];
        if (field) { field.value = values[name]; }
      });
    });
  }

  /* 5, 50 or 130 minutes as they are said: "about 5 min", "about 2 h 10 min". */
  function about(sum) {
    var whole = Math.max(1, Math.round(sum)), hours = Math.floor(whole / 60), rest = whole % 60;
    if (!hours) { return "about " + rest + " min"; }
    return "about " + hours + " h" + (rest ? " " + rest + " min" : "");
  }

  function left(view) {
    return view.left.length ? view.left.length + " left, " + about(view.left.length * view.pace) : "";
  }

  /* What comes then, with numbers where these don't follow one another; as the studio's words say it. */
  function thenOf(view) {
    var shorts = view.then.map(short), numbers = view.then.map(function (one) { return one.number; });
    var steps = numbers.map(function (number, place) { return number - (place ? numbers[place - 1] : view.numbers.number); });
    function alike(list) { return list.every(function (one) { return one === list[0]; }); }
    if (alike(steps) && Math.abs(steps[0]) === 1 || shorts.join() === numbers.join()) { return shorts.join(", "); }
    if (alike(shorts)) { return numbers.join(", ") + ": " + shorts[0]; }
    return numbers.map(function (number, place) { return number + ": " + shorts[place]; }).join(", ");
  }

  function short(numbers) { return numbers.deep ? (numbers.mark + " " + numbers.deep).trim() : String(numbers.number); }

  function next(root, view) {
    var numbers = view.numbers;
    put(root, "number", String(numbers.number));
    put(root, "mark", numbers.mark || "");
    all(root, "mark").forEach(function (box) { box.dataset.style = numbers.style || ""; });
    root.querySelectorAll(".deep").forEach(function (line) { line.hidden = !numbers.deep; });
    root.querySelectorAll(".bench-figures").forEach(function (box) { box.classList.toggle("plain", !numbers.mark); });
    put(root, "deep", numbers.deep || "");
    put(root, "deep-unit", numbers.deep ? numbers.unit + " deep" : "");
    put(root, "asked-why", numbers.why || "");
    show(root, "asked-why", numbers.why);
    put(root, "fold", numbers.fold || "");
    put(root, "fold-unit", numbers.fold_unit || "");
    put(root, "from", numbers.from || "");
    put(root, "drawn", numbers.drawn || "");
    put(root, "then", view.said ? view.said.then : thenOf(view));
    show(root, "then-line", view.then.length);
  }

  function press(root, view) {
    var texts = view.said ? view.said.press : view.press;
    all(root, "press").forEach(function (box) {
      if (box.dataset.shown === texts.join()) { return; }
      box.dataset.shown = texts.join();
      box.replaceChildren.apply(box, texts.map(function (text) {
        var line = document.createElement("p");
        line.className = "press";
        line.textContent = text;
        return line;
      }));
    });
  }

  function strip(root, view) {
    var at = null;
    root.querySelectorAll(".run-strip [data-unit]").forEach(function (mark) {
      var unit = Number(mark.dataset.unit);
      mark.classList.toggle("is-sewn", view.state.sewn.has(unit));
      mark.classList.toggle("is-now", unit === view.unit);
      if (unit === view.unit) { at = mark; }
    });
    all(root, "pointer").forEach(function (pointer) {
      pointer.setAttribute("visibility", at ? "visible" : "hidden");
      if (at) { pointer.setAttribute("transform", "translate(" + at.dataset.x + ")"); }
    });
    root.querySelectorAll(".run-strip title").forEach(function (title) {
      title.textContent = title.textContent.replace(/: .*$/, ": " + view.state.sewn.size + " sewn, " + view.left.length + " left");
    });
  }

  function check(root, view) {
    var due = view.due;
    show(root, "check", due);
    if (due) {
      put(root, "check-after", String(due.after));
      put(root, "check-text", "It should be " + due.near + " and " + due.far + ", together within " + due.band + ".");
      put(root, "check-near", due.near_label || "");
      put(root, "check-far", due.far_label || "");
      fill(root, "check", { unit: due.after });
    }
    all(root, "sewn").forEach(function (button) {
      var says = due ? "Sewn, without measuring" : "Sewn";
      if (button.textContent !== says) { button.textContent = says; }
    });
    show(root, "missed", view.missed);
    if (view.missed) { put(root, "missed-after", String(view.missed)); }
    show(root, "ahead", !due && view.ahead);
    if (!due && view.ahead) { put(root, "ahead-after", String(view.ahead.after)); put(root, "ahead-text", view.ahead.text || ""); }
  }

  function refusal(entries) {
    if (entries.length > 1) { return entries.length + " were not taken: see why"; }
    var what = { check: "A measure", note: "A note", guide: "An answer", correct: "An answer" }[entries[0].fact.kind] || "A tap";
    return what + " was not taken: see why";
  }

  /* One line beside the large button leads to what waits for an answer farther down. */
  function call(root, data, view) {
    var advice = view.advice || {}, guide = advice.guide, correct = advice.correct, text = "", to = "advice";
    if (view.refused.length) { text = refusal(view.refused); to = "refused"; }
    else if (view.wrong) { text = "Sewn at another depth: what to do"; to = "wrong"; }
    else if (view.due) { text = "Measure now, after " + data.words.one + " " + view.due.after; to = "measure"; }
    else if (guide) { text = "Move the guide before you go on"; }
    else if (correct) { text = "Correct some of the next"; }
    all(root, "call").forEach(function (box) {
      var link = box.querySelector("a");
      box.hidden = !text;
      if (text && link.textContent !== text) { link.textContent = text; link.href = "#" + to; }
    });
  }

  /* Units left behind: taken back, or jumped over. */
  function open(root, data, view) {
    var units = view.open, many = units.length > 1;
    show(root, "open", units.length);
    if (!units.length) { return; }
    var word = many ? data.words.many : data.words.one;
    var said = Bench.listed(units), what = word.charAt(0).toUpperCase() + word.slice(1) + " ";
    var every = said.indexOf("every") >= 0;
    put(root, "open-text", what + (every ? "still open: " + said + "." : said + (many ? " are" : " is") + " still open."));
    all(root, "open-go").forEach(function (link) { link.dataset.unit = units[0]; });
    fill(root, "open", { unit: units[0], also: units.slice(1).join(",") });
  }

  /* 14:05, and before today 3 Mar 14:05, as the studio writes it. */
  function clock(fact) {
    var at = new Date(fact.at), today = at.toDateString() === new Date().toDateString();
    var time = [at.getHours(), at.getMinutes()].map(function (part) { return String(part).padStart(2, "0"); }).join(":");
    return today ? time : at.getDate() + " " + MONTHS[at.getMonth()] + " " + time;
  }

  function doneItem(fact, label, undo) {
    var item = document.createElement("li"), words = document.createElement("span"), button = document.createElement("button");
    var when = document.createElement("span");
    when.className = "quiet";
    when.textContent = " " + clock(fact);
    words.append(label(fact), when);
    button.type = "button";
    button.textContent = "Take it back";
    button.setAttribute("aria-label", "Take back: " + label(fact));
    button.addEventListener("click", function () { undo(fact); });
    item.append(words, " ", button);
    return item;
  }

  /* What was done, the newest first: the latest, and what was before them in a fold of its own. */
  function done(root, view, label, undo) {
    var facts = view.state.live.filter(function (fact) { return fact.kind !== "undo"; }).reverse();
    var before = facts.slice(LATEST);
    listed(root, "done", facts.slice(0, LATEST), label, undo);
    listed(root, "done-before", before, label, undo);
    show(root, "before", before.length);
    put(root, "before-count", String(before.length));
  }

  /* Once its fold is open. Made anew only when it changed, and the focus is never lost with it. */
  function listed(root, name, facts, label, undo) {
    all(root, name).forEach(function (list) {
      var fold = list.closest("details");
      if (fold && !fold.open) { return; }
      var now = facts.map(function (fact) { return fact.op; }).join(), had = list.contains(document.activeElement);
      if (list.dataset.shown === now) { return; }
      list.dataset.shown = now;
      list.replaceChildren.apply(list, facts.map(function (fact) { return doneItem(fact, label, undo); }));
      if (had && fold) { fold.querySelector("summary").focus(); }
    });
  }

  /* What was noted at the unit in hand. */
  function notes(root, data, view) {
    var found = view.state.notes.filter(function (fact) { return fact.unit !== null && fact.unit === view.unit; });
    show(root, "notes", found.length);
    if (found.length) {
      put(root, "notes", "Noted at " + data.words.one + " " + view.unit + ": " + found.map(function (fact) { return fact.text; }).join("; "));
    }
  }

  Bench.showPage = function (root, data, view, label, undo) {
    show(root, "now", view.unit !== null);
    show(root, "finished", view.unit === null);
    show(root, "lacks", !view.state.sewn.size);
    root.querySelectorAll("[data-form=sewn]").forEach(function (form) { form.hidden = view.unit === null; });
    put(root, "left", view.said ? view.said.left_text : left(view));
    if (view.unit !== null) {
      next(root, view);
      all(root, "photos").forEach(function (link) { link.search = link.search.replace(/([?&]unit=)\d*/, "$1" + view.unit); });
      ["sewn", "depth", "note", "fives"].forEach(function (form) { fill(root, form, { unit: view.unit }); });
      all(root, "sewn").forEach(function (button) { button.dataset.unit = view.unit; });
    }
    show(root, "fives", view.fives.length > 1);
    put(root, "fives-count", String(view.fives.length));
    press(root, view);
    strip(root, view);
    check(root, view);
    call(root, data, view);
    open(root, data, view);
    notes(root, data, view);
    done(root, view, label, undo);
  };

  Bench.sayNext = function (data, view) {
    var box = document.getElementById("live"), numbers = view.numbers;
    if (!box) { return; }
    if (!numbers) { box.textContent = "All " + data.words.many + " are sewn."; return; }
    var word = data.words.one.charAt(0).toUpperCase() + data.words.one.slice(1);
    box.textContent = [word + " " + numbers.number, numbers.mark, numbers.deep && numbers.deep + " " + numbers.unit + " deep",
      numbers.fold && "fold at " + numbers.fold].filter(Boolean).join(", ") + ".";
  };
})(window.Bench);
