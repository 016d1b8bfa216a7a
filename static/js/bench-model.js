/* What the bench shows now: the page's data, the facts the studio has, and the taps that wait here. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var STILL_DUE = 3;

  Bench.Model = function (data, outbox) {
    this.data = data;
    this.outbox = outbox;
    this.facts = new Map();
    this.seq = 0;
    this.now = null;
    // Whether taps wait longer than an answer takes.
    this.late = false;
    this.place = "bench-at/" + data.post;
    this.lies = new Bench.Lies(data);
    this.figures = Bench.figures(data.unit);
    this.merge({ facts: data.facts, seq: data.seq, now: data.now });
  };

  /* Takes in an answer. An older one adds its facts but says nothing about what is next. */
  Bench.Model.prototype.merge = function (answer) {
    var facts = this.facts, outbox = this.outbox;
    (answer.facts || []).forEach(function (fact) { facts.set(fact.op, fact); });
    (answer.refused || []).forEach(function (one) { outbox.refuse(one.op, one.why); });
    outbox.waiting().forEach(function (fact) { if (facts.has(fact.op)) { outbox.drop(fact.op); } });
    if ((answer.seq || 0) >= this.seq) {
      this.seq = answer.seq || 0;
      if (answer.now !== undefined) { this.now = answer.now; }
      if (answer.placing) { this.data.placing = answer.placing; }
    }
    var refused = new Set((answer.refused || []).map(function (one) { return one.op; }));
    return function (op) { return facts.has(op) || refused.has(op); };
  };

  /* Every fact, those that wait as the studio will keep them. */
  Bench.Model.prototype.all = function () {
    var facts = this.facts, known = Array.from(facts.values());
    var waiting = this.outbox.waiting().filter(function (fact) { return !facts.has(fact.op); });
    return known.concat(Bench.asKept(known, waiting, this.data.unit));
  };

  /* A jump holds until the next tap, over a reload too. */
  Bench.Model.prototype.jump = function (unit) {
    this.jumped = unit;
    try {
      if (unit === null) { window.sessionStorage.removeItem(this.place); } else { window.sessionStorage.setItem(this.place, unit); }
    } catch (error) { return; }
  };

  Bench.Model.prototype.jumpedTo = function (sewn) {
    if (this.jumped === undefined) {
      try { this.jumped = Number(window.sessionStorage.getItem(this.place)) || null; } catch (error) { this.jumped = null; }
    }
    return this.jumped && this.data.units[this.jumped] && !sewn.has(this.jumped) ? this.jumped : null;
  };

  /* What is shown of a unit, with what is sewn that is sewn and as it is asked now. */
  Bench.Model.prototype.numbers = function (unit, state) {
    return Bench.unitWords(this.data, this.lies, this.figures, unit, state);
  };

  /* What the studio said last of what is next, where nothing waits here and it is the unit shown. */
  Bench.Model.prototype.said = function (unit) {
    var said = this.now, next = said && said.number !== undefined ? said.number : null;
    return said && next === unit && !this.outbox.waiting().length ? said : null;
  };

  /* The check measure to be made now: its unit is sewn, few after it, and it isn't made. Units left open behind
     it lie flat, and its readings are for that. */
  Bench.Model.prototype.dueCheck = function (state) {
    var order = this.data.order, figures = this.figures, found = null;
    var made = new Set(state.checks.map(function (fact) { return fact.unit; }));
    function sewn(unit) { return state.sewn.has(unit); }
    this.data.checks.forEach(function (check) { if (sewn(check.after)) { found = check; } });
    if (!found || made.has(found.after)) { return null; }
    if (order.slice(order.indexOf(found.after) + 1).filter(sewn).length >= STILL_DUE) { return null; }
    var read = this.lies.readings(found.after, state.sewn);
    return Object.assign({}, found, read, { near: figures.length(read.near_nm), far: figures.length(read.far_nm) });
  };

  /* The last check measure that was passed without being made, until a later one is. */
  Bench.Model.prototype.missedCheck = function (state, due) {
    var last = null, made = new Set(state.checks.map(function (fact) { return fact.unit; }));
    this.data.checks.forEach(function (check) { if (state.sewn.has(check.after)) { last = check.after; } });
    return made.has(last) || due && due.after === last ? null : last;
  };

  Bench.Model.prototype.aheadCheck = function (state, unit) {
    var order = this.data.order, from = order.indexOf(unit);
    return this.data.checks.find(function (check) {
      return order.indexOf(check.after) >= from && !state.sewn.has(check.after);
    }) || null;
  };

  Bench.Model.prototype.view = function () {
    var data = this.data, model = this, state = Bench.fold(this.all()), sewn = state.sewn;
    var from = state.last ? Bench.furthest(data.order, state.last) : null;
    var onwards = Bench.inAnotherOrder(data.order, sewn) ? null : from;
    var unit = this.jumpedTo(sewn) || Bench.nextUnit(data.order, sewn, onwards);
    var left = data.order.filter(function (one) { return !sewn.has(one); });
    var then = [], at = unit;
    while (unit !== null && then.length < 3) {
      var gone = new Map(sewn);
      then.concat([unit]).forEach(function (one) { gone.set(one, true); });
      at = Bench.nextUnit(data.order, gone, at);
      if (at === null) { break; }
      then.push(at);
    }
    var said = this.said(unit), due = this.dueCheck(state);
    function numbers(one) { return model.numbers(one, state); }
    return {
      state: state, unit: unit, left: left, press: this.pressing(from, unit), then: then.map(numbers), said: said, pace: this.pace(),
      numbers: unit === null ? null : numbers(unit),
      open: unit === null ? [] : data.order.slice(0, data.order.indexOf(unit)).filter(function (one) { return !sewn.has(one); }),
      due: due, missed: said ? said.missed : this.missedCheck(state, due), refused: this.outbox.refused(),
      ahead: unit === null ? null : this.aheadCheck(state, unit),
      fives: data.fives && unit !== null ? Bench.fiveFrom(data.order, sewn, unit) : [],
      advice: Bench.standing(this.now && this.now.advice, this.outbox.waiting(), this.late),
      wrong: Bench.unanswered(this.now && this.now.wrong, this.outbox.waiting())
    };
  };

  /* What to press now, as the studio would say it: after unit ``last`` and before ``unit``. */
  Bench.Model.prototype.pressing = function (last, unit) {
    var data = this.data, said = [], before = last && data.units[last], next = unit && data.units[unit];
    if (before && before.lies && data.overlapping) {
      said.push("Press " + data.words.one + " " + last + " " + before.lies + (next ? " before the next." : "."));
    }
    if (next && next.lies && !before) { said.push("The flaps will lie " + next.lies + "."); }
    else if (next && before && next.lies !== before.lies) {
      said.push((data.pairs ? "This fold’s flap lies " : "The centre line: from here the flaps lie ") + next.lies + ".");
    }
    return said;
  };

  /* Minutes a unit: this run's own pace as the studio last said it. */
  Bench.Model.prototype.pace = function () {
    return Number(this.now && this.now.pace || this.data.minutes || 0);
  };

  /* This unit and the next four that are not sewn, in the order they come. */
  Bench.fiveFrom = function (order, sewn, unit) {
    var place = order.indexOf(unit);
    return order.slice(place).concat(order.slice(0, place)).filter(function (one) { return !sewn.has(one); }).slice(0, 5);
  };
})(window.Bench);
