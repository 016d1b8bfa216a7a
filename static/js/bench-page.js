/* The bench page: brings model, outbox, link and taps together. Works only beside the page's own HTML. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var SLOW = 1500;

  function label(data) {
    var word = data.words.one.charAt(0).toUpperCase() + data.words.one.slice(1), kinds = {
      sewn: "sewn", resew: "sewn again", check: "measured", absorb: "left as it is", note: "note",
      guide: "guide moved", correct: "correction", undo: "taken back"
    };
    return function (fact) {
      var units = [fact.unit].concat(fact.also || []).filter(Boolean), words = [kinds[fact.kind] || fact.kind];
      if (fact.says) { return fact.says; }
      if (fact.depth_text || fact.depth) { words.push(String(fact.depth_text || fact.depth + " " + data.unit) + " deep"); }
      if (fact.kind === "check") { words.push([fact.near_text || fact.near, fact.far_text || fact.far].filter(Boolean).join(" and ")); }
      if (fact.text) { words.push(fact.text); }
      if (fact.asked && fact.asked.refused || fact.refused) { words.push("not taken up"); }
      var which = units.length > 1 ? data.words.many + " " + Bench.listed(units) : units.length ? word + " " + units[0] : "";
      which = which.charAt(0).toUpperCase() + which.slice(1);
      return (which ? which + ", " : "") + words.filter(Boolean).join(", ");
    };
  }

  function Page(root, data) {
    var page = this;
    this.root = root;
    this.data = data;
    this.link = { state: "here", why: "", slow: false, kept: false };
    this.outbox = new Bench.Outbox(data.person.id, data.post, function () { page.show(true); });
    this.model = new Bench.Model(data, this.outbox);
    this.label = label(data);
    this.taps = new Bench.Taps(this.model, this.outbox, function () { return Number(root.dataset.pause || 300); }, function (fact) { page.tapped(fact); });
    this.sender = new Bench.Link(data, this.outbox, { poll: Number(root.dataset.poll || 3000), least: 1000 },
      function (answer, sent) { return page.heard(answer, sent); }, function (state, why, status) { page.told(state, why, status); });
  }

  Page.prototype.one = function (name) { return this.root.querySelector("[data-bench=\"" + name + "\"]"); };
  Page.prototype.view = function () { return this.model.view(); };
  Page.prototype.away = function () { return this.link.state !== "here"; };

  Page.prototype.show = function (byOthers) {
    this.model.late = this.away() || this.link.slow;
    var page = this, view = this.view(), before = this.unit;
    Bench.showPage(this.root, this.data, view, this.label, function (fact) { page.undo(fact); });
    Bench.showAdvice(this.root, view);
    this.lines();
    this.taps.showing(view.unit, byOthers);
    this.unit = view.unit;
    if (before !== undefined && before !== view.unit) { Bench.sayNext(this.data, view); }
  };

  Page.prototype.lines = function () {
    var page = this;
    Bench.showLines(this.root, this.outbox, this.link, this.label, function () { page.show(true); });
  };

  /* A tap was put into the outbox. */
  Page.prototype.tapped = function (tap) {
    var page = this;
    Bench.unsaid(this.root);
    Bench.hush();
    this.show(false);
    window.setTimeout(function () {
      if (page.outbox.waiting().some(function (fact) { return fact.op === tap.op; })) { page.link.slow = true; page.show(true); }
    }, SLOW);
    this.sender.go();
  };

  Page.prototype.heard = function (answer, sent) {
    var known = this.model.merge(answer);
    this.link.slow = false;
    if (sent.some(function (fact) { return fact.kind === "check"; }) && this.model.now && this.model.now.advice) { this.verdict(""); }
    this.one("changed").hidden = !answer.changed;
    this.one("changed").textContent = answer.changed || "";
    if (answer.said && answer.said.length) { this.verdict(answer.said.join(" ")); this.ordinary(); }
    if (answer.plan && this.data.plan && answer.plan !== this.data.plan) { this.one("renew").hidden = false; }
    this.show(!sent.length);
    this.strays();
    return known;
  };

  /* Taps of this person's other runs go along, one run at a time, once there is a connection. */
  Page.prototype.strays = function () {
    var page = this;
    if (this.straying || !this.outbox.elsewhere().runs) { return; }
    this.straying = true;
    Bench.sendStrays(this.data, this.outbox).then(function (all) { page.straying = !all; page.lines(); });
  };

  Page.prototype.told = function (state, why, status) {
    var other = this.link.state !== state;
    this.link.state = state;
    this.link.why = why;
    this.link.status = status;
    if (other) { this.show(true); } else { this.lines(); }
  };

  /* Whether this page can be opened again without connection. */
  Page.prototype.keeps = function (yes, text) {
    this.link.kept = yes;
    this.one("kept").hidden = false;
    this.one("kept").textContent = text;
    this.lines();
  };

  Page.prototype.verdict = function (text) {
    var box = this.one("verdict");
    if (box) { box.hidden = !text; box.textContent = text; }
  };

  /* The timer went on as ordinary work just now. */
  Page.prototype.ordinary = function () {
    var button = this.root.querySelector(".bench-timer"), since = button && button.querySelector("time"), again = this.one("again");
    if (since && again && !again.hidden) { again.hidden = true; since.dataset.since = new Date().toISOString(); }
  };

  Page.prototype.undo = function (fact) {
    var page = this;
    Bench.ask(this.one("ask"), "Take back: " + this.label(fact) + "?", [
      { says: "Take it back", does: function () { page.taps.undo(fact); } }
    ]);
  };

  Page.prototype.undoLast = function () {
    var facts = this.view().state.live.filter(function (fact) { return fact.kind !== "undo"; });
    if (facts.length) { this.undo(facts[facts.length - 1]); }
  };

  /* Being at another unit: are those between sewn? */
  Page.prototype.jump = function (unit) {
    var page = this, data = this.data, state = this.view().state, from = state.last ? Bench.furthest(data.order, state.last) : null;
    var start = from === null ? 0 : data.order.indexOf(from) + 1;
    var between = data.order.slice(start, Math.max(start, data.order.indexOf(unit))).filter(function (one) { return !state.sewn.has(one); });
    function go() { page.model.jump(unit); page.show(false); }
    if (!between.length) { go(); return; }
    var which = between.length === 1 ? data.words.one + " " : data.words.many + " ";
    Bench.ask(this.one("ask"), (between.length === 1 ? "Is " : "Are ") + which + Bench.listed(between) + " sewn?", [
      { says: "Yes, sewn as asked", does: function () { page.taps.take("sewn", { unit: between[0], also: between.slice(1) }); go(); } },
      { says: "No, not yet", does: go }
    ]);
  };

  /* A key says "sewn" for what is shown, but not past a check measure that is due: the next press does. */
  Page.prototype.key = function () {
    var view = this.view(), due = view.due && view.due.after;
    if (view.unit === null || Bench.asking()) { return; }
    if (due && this.warned !== due) {
      this.warned = due;
      this.verdict("Measure first, or press once more to sew on.");
      return;
    }
    this.taps.sewn(view.unit, {}, false);
  };

  /* Without connection a link leads nowhere, and the way back neither: ask first. */
  Page.prototype.leaving = function (event) {
    var link = event.target.closest && event.target.closest("a[href]");
    if (!link || event.defaultPrevented || this.link.state !== "away" || event.ctrlKey || event.metaKey || link.hash && link.pathname === window.location.pathname) { return; }
    event.preventDefault();
    var text = this.link.kept ? "There is no connection: where this leads can't be opened until there is one. This page can, with the taps that wait." :
      "There is no connection. If you leave this page, it can't be opened again until there is one. Taps that wait are kept.";
    var box = this.one("ask");
    function go() { window.location.href = link.href; }
    Bench.keptToo(link.pathname).then(function (there) {
      if (there) { go(); return; }
      Bench.ask(box, text, [{ says: "Leave all the same", does: go }], "Stay here");
    });
  };

  Bench.Page = Page;
})(window.Bench);
