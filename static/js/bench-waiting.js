/* Taps that wait as the studio will keep them: lengths in nm, and with each what was asked of the hand when it
   was made, so that what comes after them is known before they arrive. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var INSTRUCTS = ["guide", "correct", "undo"], SEWS = ["sewn", "resew"];

  function isOne(kinds, fact) { return kinds.indexOf(fact.kind) >= 0; }

  function before(fact) {
    var now = Date.parse(fact.at);
    return function (one) {
      var at = Date.parse(one.at);
      return at < now || at === now && one.op < fact.op;
    };
  }

  /* What was asked beyond the planned depths of the units of a fact at that moment. */
  function beyond(instructed, fact) {
    var state = Bench.fold(instructed.filter(before(fact))), found = {};
    [fact.unit].concat(fact.also || []).forEach(function (unit) {
      var much = state.guide + (state.steps.get(unit) || 0);
      if (much) { found[unit] = much; }
    });
    return found;
  }

  function kept(fact, instructed, unit) {
    var found = Object.assign({}, fact, { depth: null });
    if (fact.kind === "guide" || fact.kind === "correct") { found.asked = fact.refused ? { refused: true } : fact.asked || {}; }
    if (isOne(SEWS, fact)) {
      found.depth = fact.depth ? Bench.readLength(fact.depth, unit) : null;
      found.depth_text = fact.depth ? fact.depth + " " + unit : "";
      found.asked = instructed.some(function (one) { return one.kind !== "undo"; }) ? { beyond: beyond(instructed, fact) } : {};
    }
    return found;
  }

  /* ``known``: facts the studio has; ``waiting``: those on this device, in the order they were made. */
  Bench.asKept = function (known, waiting, unit) {
    var instructed = known.filter(function (fact) { return isOne(INSTRUCTS, fact); });
    return waiting.map(function (fact) {
      var found = kept(fact, instructed, unit);
      if (isOne(INSTRUCTS, fact)) { instructed = instructed.concat([found]); }
      return found;
    });
  };
})(window.Bench);
