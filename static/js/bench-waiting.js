/* Taps that wait as the studio will keep them: lengths in nm, and with each what was asked of the hand when it
   was made, so that what comes after them is known before they arrive. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var INSTRUCTS = ["guide", "correct", "undo"], SEWS = ["sewn", "resew"];
  var ANEW = ["check", "undo", "resew", "absorb"], ANSWERS = ["resew", "absorb", "undo"];
  var AGAIN = { lines: [
    "What to do about it is worked out anew once the studio has the taps that wait here. It is asked for by itself."
  ], guide: null, correct: null, stays: "" };

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

  /* Whether a tap that waits sewed a unit that the correction names. */
  function sewsAsked(advice, waiting) {
    var steps = advice.correct && advice.correct.asked && advice.correct.asked.steps || {};
    return waiting.some(function (fact) {
      return isOne(SEWS, fact) && [fact.unit].concat(fact.also || []).some(function (unit) { return unit in steps; });
    });
  }

  /* What the studio asked that still stands with the taps that wait: what was answered is asked no more, and
     what was reckoned before another measure or depth is left until the studio has reckoned anew. So is what
     was reckoned for more units than are left, ``late``: the studio has not answered at once. */
  Bench.standing = function (advice, waiting, late) {
    var found = Object.assign({}, advice), offers = advice && (advice.guide || advice.correct);
    var sewing = waiting.some(function (fact) { return isOne(SEWS, fact); });
    if (!advice || waiting.some(function (fact) { return isOne(ANEW, fact) || isOne(SEWS, fact) && fact.depth; })) {
      return offers && late ? AGAIN : null;
    }
    waiting.forEach(function (fact) {
      if (fact.kind === "guide" || fact.kind === "correct") { found[fact.kind] = null; }
      // Corrections were reckoned with the guide moved.
      if (fact.kind === "guide" && fact.refused) { found.correct = null; }
    });
    if (!found.guide && !found.correct) { return waiting.some(function (fact) { return isOne(INSTRUCTS, fact); }) ? null : found; }
    return sewing && late || sewsAsked(found, waiting) ? AGAIN : found;
  };

  /* The wrong depth that waits for its answer, if none waits here. */
  Bench.unanswered = function (wrong, waiting) {
    var answered = wrong && waiting.some(function (fact) { return isOne(ANSWERS, fact) && fact.unit === wrong.unit; });
    return wrong && !answered ? wrong : null;
  };

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
