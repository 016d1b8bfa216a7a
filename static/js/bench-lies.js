/* Where a unit lies once a jump has left others out and nothing is drawn, until the studio says so: what is
   asked of it beyond its plan, and of those left out, is only known there. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";

  function nearest(units, own, sewn) {
    var found = null;
    sewn.forEach(function (fact, number) {
      var one = units[number];
      if (!one || one.row !== own.row || (own.far ? one.at_nm <= own.at_nm : one.at_nm >= own.at_nm)) { return; }
      if (found === null || Math.abs(one.at_nm - own.at_nm) < Math.abs(units[found].at_nm - own.at_nm)) { found = number; }
    });
    return found;
  }

  /* With nothing drawn: from the nearest seam that is sewn, what is not sewn between lying flat; null where
     the page's own numbers hold. */
  Bench.measured = function (data, unit, sewn) {
    var units = data.units, own = units[unit], inches = data.system === "inch";
    if (own.at_nm === undefined) { return null; }
    var last = nearest(units, own, sewn), from = "the " + own.edge, length = own.far && !own.square ? own.extent_nm - own.at_nm : own.at_nm;
    if (last === (own.leans || null)) { return null; }
    if (last !== null) {
      length = own.far ? units[last].start_nm - own.at_nm : own.at_nm - units[last].end_nm;
      if (own.square) { length /= Math.SQRT2; }
      from = (own.deep_nm ? "the seam of " : "") + data.words.one + " " + last + (own.square ? ", square to it" : "");
    }
    if (own.deep_nm) { from += " (" + Bench.sayLength(Math.max(0, length - own.deep_nm), inches) + " to the stitch line)"; }
    else if (own.label) { from += ": " + own.label; }
    return { fold: Bench.sayLength(length, inches).replace(/ (mm|in)$/, ""), from: "from " + from };
  };
})(window.Bench);
