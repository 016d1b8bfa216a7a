/* Makes facts of taps: each says its unit, has its own id and the device's time, and is in the outbox before
   anything is shown. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var GRACE = 400, HELD = 1500;

  /* Never before a fact that is known here already, whatever the device's clock says, so that what is
     tapped later holds. */
  function moment(model, last) {
    var now = Date.now(), latest = last;
    model.facts.forEach(function (fact) {
      var at = Date.parse(fact.at);
      if (at > latest && at < now + 86400000) { latest = at; }
    });
    return Math.max(now, latest + 1);
  }

  /* ``after`` is called once a tap is in the outbox. ``pause``: two taps within so many ms are one. */
  Bench.Taps = function (model, outbox, pause, after) {
    var last = 0, tapped = 0, pressed = { unit: null, since: 0 }, shown = { unit: null, before: null, since: 0 };

    function take(kind, values) {
      last = moment(model, last);
      var fact = Object.assign({
        op: Bench.newId(), kind: kind, unit: null, also: [], depth: "", near: "", far: "", near_end: "", far_end: "",
        undoes: null, text: "", at: new Date(last).toISOString()
      }, values);
      outbox.add(fact);
      if (kind === "sewn" || kind === "resew") { model.jump(null); }
      after(fact);
      return fact;
    }

    /* A unit that somebody else's tap brought under the finger at the last moment was not the one meant. */
    function meant(unit, pointed) {
      if (pointed && pressed.unit !== null && Date.now() - pressed.since < HELD) { return pressed.unit; }
      return shown.before !== null && Date.now() - shown.since < GRACE ? shown.before : unit;
    }

    return {
      take: take,
      showing: function (unit, byOthers) {
        if (unit === shown.unit) { return; }
        shown = { unit: unit, before: byOthers ? shown.unit : null, since: Date.now() };
      },
      press: function (unit) { pressed = { unit: unit, since: Date.now() }; },
      sewn: function (unit, values, pointed) {
        var now = Date.now(), which = meant(unit, pointed);
        pressed.unit = null;
        if (which === null || Number.isNaN(which) || now - tapped < pause()) { return null; }
        tapped = now;
        return take("sewn", Object.assign({ unit: which }, values));
      },
      undo: function (fact) { return take("undo", { undoes: fact.op, unit: fact.unit }); }
    };
  };
})(window.Bench);
