/* The page's own forms, sent as facts instead. Without this file they go to the studio one by one. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";

  function value(form, name) {
    var field = form.elements[name];
    return field ? field.value.trim() : "";
  }

  function say(form, text) {
    var box = form.querySelector("[data-bench=said]");
    if (!box) {
      box = document.createElement("p");
      box.dataset.bench = "said";
      box.setAttribute("role", "alert");
      form.appendChild(box);
    }
    box.textContent = text;
  }

  function wrong(form, name, text) {
    var field = form.elements[name];
    say(form, text);
    field.setAttribute("aria-invalid", "true");
    field.focus();
  }

  /* Fields lie below the figures: once they have served, the figures are seen again. */
  function toTop() {
    var title = document.querySelector("#bench h1");
    if (title && title.getBoundingClientRect().top < 0) { document.getElementById("bench").scrollIntoView(); }
  }

  function clear(form) {
    var fold = form.closest("details");
    if (fold) { fold.open = false; }
    toTop();
    done(form, "");
  }

  /* The keys are the large button's again, and nothing moves. */
  function done(form, text) {
    var button = document.querySelector("#bench [data-bench=sewn]");
    say(form, text);
    Array.from(form.elements).forEach(function (field) { field.removeAttribute("aria-invalid"); });
    if (button && (form.contains(document.activeElement) || document.activeElement === document.body)) { button.focus({ preventScroll: true }); }
  }

  function unread(text, name, unit) {
    var deep = name === "depth", example = unit === "in" ? (deep ? "3/16 or 0.2" : "9 11/16 or 9.5") : deep ? "4.5 or 4,5" : "246 or 246,5";
    return text ? "“" + text + "” can't be read as a length. Type a number such as " + example + "." :
      "Type a length such as " + example + ".";
  }

  /* The lengths of some fields, in nm, by name; null once one can't be read, which is said. Empty ones are
     null where they may be. */
  function lengths(form, names, needed, unit) {
    var found = {};
    for (var i = 0; i < names.length; i += 1) {
      var text = value(form, names[i]);
      found[names[i]] = text ? Bench.readLength(text, unit) : null;
      if (found[names[i]] === null && (text || needed.indexOf(names[i]) >= 0)) {
        wrong(form, names[i], unread(text, names[i], unit));
        return null;
      }
    }
    return found;
  }

  /* What was said beside fields goes with the next tap; what was typed stays. */
  Bench.unsaid = function (root) {
    root.querySelectorAll("[data-bench=said]").forEach(function (box) {
      box.textContent = "";
      box.closest("form").querySelectorAll("[aria-invalid]").forEach(function (field) { field.removeAttribute("aria-invalid"); });
    });
  };

  /* Words for what two readings come to. */
  function verdict(check, judged, away, inches) {
    var sits = Bench.sayLength(judged.shift, inches);
    if (judged.excess === null) {
      return "The seam sits " + (judged.shift ? sits + (judged.shift > 0 ? " too far on" : " too early") : "where it should") +
        ". Whether the panel comes out too long takes the second reading.";
    }
    var off = Math.abs(judged.excess) < (inches ? 396875 : 250000) ? "Both as planned" :
      "Together " + Bench.sayLength(judged.excess, inches) + (judged.excess > 0 ? " too long" : " too short");
    if (judged.fine) { return off + ", within " + check.band + ": go on."; }
    return off + ", more than " + check.band + ". " + (away ? "What to do about it waits for the connection; it is asked for by itself." :
      "Working out what to do about it.");
  }

  /* ``page`` gives {data, view(), taps, jump(unit), verdict(text), away()}. */
  Bench.forms = function (root, page) {
    var data = page.data, inches = data.system === "inch", unit = inches ? "in" : "mm";
    /* Readings as typed, and in nm; fields are emptied once all of them could be read. */
    function readings(form) {
      var names = ["near", "far", "near_end", "far_end"].filter(function (name) { return form.elements[name]; });
      var got = lengths(form, names, ["near"], unit), typed = { unit: Number(value(form, "unit")) };
      if (!got || beyond(form, names, got, typed.unit)) { return null; }
      names.forEach(function (name) { typed[name] = value(form, name); form.elements[name].value = ""; });
      clear(form);
      return { lengths: got, typed: typed };
    }
    /* A reading longer than half as much again as the panel is mistyped: the studio believes it no more. */
    function beyond(form, names, got, number) {
      var whole = data.units[number] && data.units[number].extent_nm;
      var name = names.find(function (one) { return whole && got[one] > whole * 3 / 2; });
      if (name) {
        wrong(form, name, value(form, name) + " is longer than the panel, which is " + page.model.figures.length(whole) + " flat. Read it once more.");
      }
      return Boolean(name);
    }
    function noSuch(form, name) {
      var least = Math.min.apply(null, data.order), most = Math.max.apply(null, data.order);
      wrong(form, name, "There is no " + data.words.one + " " + value(form, name) + " in this run. Type a number from " + least + " to " + most + ".");
    }
    function instruction(form) {
      return value(form, "refused") ? { refused: true } : { asked: JSON.parse(value(form, "asked")) };
    }
    var deeds = {
      sewn: function (form) { page.taps.sewn(Number(value(form, "unit")), {}, true); },
      fives: function (form) {
        var five = page.view().fives, first = Number(value(form, "unit"));
        if (five[0] === first) { page.taps.sewn(first, { also: five.slice(1) }, true); }
      },
      depth: function (form) {
        var got = lengths(form, ["depth"], ["depth"], unit), own = data.units[value(form, "unit")] || {};
        if (!got) { return; }
        // The studio believes no other depth either; here it is said beside the field, with what was typed.
        if (own.deep_nm && (got.depth < Math.floor(own.deep_nm / 4) || got.depth > own.deep_nm * 3)) {
          wrong(form, "depth", value(form, "depth") + " is far from the " + page.model.figures.deepText(own.deep_nm) + " planned. Type the depth it was sewn at.");
          return;
        }
        if (page.away()) { page.verdict("What the other depth does to the panel waits for the connection; it is asked for by itself."); }
        if (page.taps.sewn(Number(value(form, "unit")), { depth: value(form, "depth") })) { form.elements.depth.value = ""; clear(form); }
      },
      jump: function (form) {
        var number = Number(value(form, "to"));
        if (!data.units[number]) { noSuch(form, "to"); return; }
        if (page.view().state.sewn.has(number)) {
          wrong(form, "to", "The " + data.words.one + " " + number + " is sewn. Take it back below to sew it again.");
          return;
        }
        form.elements.to.value = "";
        clear(form);
        page.jump(number);
      },
      check: function (form) {
        var due = page.view().due, got = readings(form);
        if (!got) { return; }
        page.verdict(!due ? "" : verdict(due, Bench.judge(due, got.lengths), page.away(), inches));
        page.taps.take("check", got.typed);
      },
      "check-own": function (form) {
        if (!data.units[value(form, "unit")]) { noSuch(form, "unit"); return; }
        if (!page.view().state.sewn.has(Number(value(form, "unit")))) {
          wrong(form, "unit", "The " + data.words.one + " " + value(form, "unit") + " is not sewn yet: measure after one that is.");
          return;
        }
        var got = readings(form);
        if (got) { page.taps.take("check", got.typed); }
      },
      resew: function (form) { page.taps.take("resew", { unit: Number(value(form, "unit")) }); toTop(); },
      absorb: function (form) { page.taps.take("absorb", { unit: Number(value(form, "unit")) }); toTop(); },
      guide: function (form) { page.taps.take("guide", instruction(form)); toTop(); },
      correct: function (form) { page.taps.take("correct", instruction(form)); toTop(); },
      open: function (form) {
        var also = value(form, "also").split(",").filter(Boolean).map(Number);
        page.taps.take("sewn", { unit: Number(value(form, "unit")), also: also });
        toTop();
      },
      note: function (form) {
        if (!value(form, "text")) { wrong(form, "text", "Type the note first."); return; }
        var unit = Number(value(form, "unit")) || null;
        page.taps.take("note", { unit: unit, text: value(form, "text").slice(0, 300) });
        form.elements.text.value = "";
        done(form, unit ? "Kept, at " + data.words.one + " " + unit + "." : "Kept.");
      },
      undo: function (form) {
        var op = value(form, "undoes"), fact = page.view().state.live.find(function (one) { return one.op === op; });
        if (fact) { page.taps.undo(fact); }
      }
    };
    root.addEventListener("submit", function (event) {
      var deed = deeds[event.target.dataset.form];
      if (deed) { event.preventDefault(); deed(event.target); return; }
      if (page.away() && event.target.method === "post") {
        event.preventDefault();
        if (event.target.querySelector("input:not([type=hidden])")) {
          say(event.target, "This needs the connection. What you typed stays here; try again when it is back.");
        }
        // Where nothing is typed the form has no room for words, which would push what is read from afar.
        else { Bench.ask(page.one("ask"), "This needs the connection, and there is none now. Taps and timer stay as they are.", [], "Close"); }
      }
    });
  };
})(window.Bench);
