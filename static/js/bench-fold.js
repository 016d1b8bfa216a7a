/* What a run's facts come to. The same rule as projects/calc/bench_state.py, which a test compares it with. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";

  /* A moment as text that sorts: in UTC, with six digits after the second. */
  function moment(at) {
    var text = /(Z|[+]00:00)$/.test(at) ? at : new Date(at).toISOString();
    var found = /^(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d)(?:\.(\d+))?/.exec(text);
    return found ? found[1] + "." + (found[2] || "").slice(0, 6).padEnd(6, "0") : "";
  }

  /* Facts by (at, op). */
  function inOrder(facts) {
    var pairs = facts.map(function (fact) { return [moment(fact.at) + " " + fact.op, fact]; });
    pairs.sort(function (a, b) { return a[0] < b[0] ? -1 : a[0] > b[0] ? 1 : 0; });
    return pairs.map(function (pair) { return pair[1]; });
  }

  /* Which facts hold, by their op: those no undo names, or only undos that do not hold themselves. Undos that
     take one another back in a ring are left out. */
  function holding(facts) {
    var undoers = new Map(), holds = new Map(), waiting = [];
    facts.forEach(function (fact) {
      if (fact.kind === "undo" && fact.undoes) { undoers.set(fact.undoes, (undoers.get(fact.undoes) || []).concat([fact.op])); }
    });
    facts.forEach(function (fact, op) {
      if (undoers.has(op)) { waiting.push(op); } else { holds.set(op, true); }
    });
    function known(op) { return undoers.get(op).every(function (undo) { return holds.has(undo); }); }
    function held(op) { return !undoers.get(op).some(function (undo) { return holds.get(undo); }); }
    while (waiting.length) {
      var ready = waiting.filter(known), ring = !ready.length;
      var answers = (ring ? waiting : ready).map(function (op) { return [op, !ring && held(op)]; });
      answers.forEach(function (pair) { holds.set(pair[0], pair[1]); });
      waiting = waiting.filter(function (op) { return !holds.has(op); });
    }
    return holds;
  }

  /* The facts that hold, by (at, op); the same op twice is one fact, the later in the list. */
  function live(facts) {
    var byOp = new Map(facts.map(function (fact) { return [fact.op, fact]; })), holds = holding(byOp);
    return inOrder(Array.from(byOp.values()).filter(function (fact) { return holds.get(fact.op); }));
  }

  function unitsOf(fact) {
    return (fact.unit === null || fact.unit === undefined ? [] : [fact.unit]).concat(fact.also || []);
  }

  function place(fact) { return moment(fact.at) + " " + fact.op; }

  function refused(fact) { return Boolean(fact.asked && fact.asked.refused); }

  /* Lengths by unit: JSON has its keys as text. */
  function byUnit(given) {
    return new Map(Object.keys(given || {}).map(function (unit) { return [Number(unit), given[unit]]; }));
  }

  /* The instruction that holds: the guide of the latest one that moved it, the steps and spaces of the latest. */
  function askedOf(held) {
    var taken = held.filter(function (fact) { return !refused(fact); });
    var guides = taken.filter(function (fact) { return fact.kind === "guide"; });
    var correct = taken.filter(function (fact) { return fact.kind === "correct"; }).pop(), asked = correct && correct.asked || {};
    function guideOf(fact) { return fact && fact.asked && fact.asked.guide || 0; }
    return {
      guide: guideOf(guides[guides.length - 1]), steps: byUnit(asked.steps), spaces: byUnit(asked.spaces),
      /* By how much the guide was moved when something happened. */
      guideAt: function (fact) {
        var now = place(fact);
        return guideOf(guides.filter(function (one) { return place(one) < now; }).pop());
      }
    };
  }

  /* What was asked beyond a unit's planned depth when a fact on it happened. */
  Bench.beyondThen = function (fact, unit) {
    return fact.asked && fact.asked.beyond && fact.asked.beyond[unit] || 0;
  };

  /* {live, sewn: Map of unit to the fact that holds, absorbed: Set, checks, notes, last}, and what is asked of
     the hand: {guide, steps, spaces, guideAt(fact)}; the order in which facts arrive is nothing. */
  Bench.fold = function (facts) {
    var held = live(facts), sewn = new Map(), absorbed = new Set(), last = null;
    held.forEach(function (fact) {
      if (fact.kind === "sewn" || fact.kind === "resew") {
        unitsOf(fact).forEach(function (unit) { sewn.set(unit, fact); absorbed.delete(unit); });
        last = fact;
      } else if (fact.kind === "absorb") {
        unitsOf(fact).forEach(function (unit) { absorbed.add(unit); });
      }
    });
    absorbed.forEach(function (unit) { if (!sewn.has(unit)) { absorbed.delete(unit); } });
    function ofKind(kind) { return held.filter(function (fact) { return fact.kind === kind; }); }
    return Object.assign(askedOf(held), { live: held, sewn: sewn, absorbed: absorbed, checks: ofKind("check"), notes: ofKind("note"), last: last });
  };

  /* Whether the units sewn were begun in another order than the run has now, so that none was left out. */
  Bench.inAnotherOrder = function (order, sewn) {
    var done = order.filter(function (unit) { return sewn.has(unit); }), many = done.length;
    function first(units) { return units.slice(0, many).every(function (unit) { return sewn.has(unit); }); }
    if (first(order)) { return false; }
    var numbers = order.slice().sort(function (a, b) { return a - b; });
    function every(from) { return numbers.filter(function (unit, place) { return place % 2 === from; }); }
    return many >= 2 && first(numbers) || many >= 4 && first(every(0).concat(every(1)));
  };

  /* The next unit: the first not sewn after ``from`` in the order of sewing, else the first not sewn at all. */
  Bench.nextUnit = function (order, sewn, from) {
    var start = from === null || from === undefined ? 0 : order.indexOf(from) + 1;
    var left = order.filter(function (unit) { return !sewn.has(unit); });
    var on = left.filter(function (unit) { return order.indexOf(unit) >= start; });
    return on.length ? on[0] : left.length ? left[0] : null;
  };

  /* The unit of a fact, or of its further ones, that comes last in the order of sewing. */
  Bench.furthest = function (order, fact) {
    return unitsOf(fact).reduce(function (far, unit) {
      return order.indexOf(unit) > order.indexOf(far) ? unit : far;
    });
  };
})(window.Bench);
