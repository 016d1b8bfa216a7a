/* Lengths as the studio writes them: marks and readings to 0.5 mm or 1/32 in, depths to 0.1 mm or 1/64 in. The
   same as projects/calc/lengths.py writes, which a test compares it with. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var MARK = { mm: 500000, "in": 793750 }, DEEP = { mm: 100000, "in": 396875 }, INCH = 25400000;
  var RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹", LOWERED = "₀₁₂₃₄₅₆₇₈₉";

  /* To the nearest whole number, a tie going up. */
  function halfUp(nm, step) { return Math.floor((2 * nm + step) / (2 * step)); }

  function digits(number, signs) {
    return String(number).replace(/\d/g, function (digit) { return signs[digit]; });
  }

  /* Eighths, 32nds, 64ths in lowest terms; ``pretty``: with the small figures of a real fraction. */
  function fraction(count, parts, pretty) {
    var whole = Math.floor(count / parts), over = count % parts;
    if (!over) { return String(whole); }
    while (over % 2 === 0 && parts % 2 === 0) { over /= 2; parts /= 2; }
    var part = pretty ? digits(over, RAISED) + "⁄" + digits(parts, LOWERED) : over + "/" + parts;
    return whole ? whole + " " + part : part;
  }

  function written(nm, step, unit, pretty) {
    var count = halfUp(nm, step), sign = count < 0 ? "−" : "";
    count = Math.abs(count);
    if (unit === "in") { return sign + fraction(count, INCH / step, pretty); }
    var tenths = count * (step / 100000);
    return sign + Math.floor(tenths / 10) + (tenths % 10 ? "." + tenths % 10 : "");
  }

  /* ``figure``: the number of a mark, read from a metre away, without its unit; ``length``: a mark or reading
     with it; ``deep``: the number the guide is set to; all of lengths in nm. */
  Bench.figures = function (unit) {
    function deep(nm) {
      var step = DEEP[unit], tiny = nm > 0 && nm < step;
      return (tiny ? "less than " : "") + written(tiny ? step : nm, step, unit, false);
    }
    return {
      unit: unit,
      figure: function (nm) { return written(nm, MARK[unit], unit, false); },
      number: function (nm) { return written(nm, MARK[unit], unit, true); },
      length: function (nm) { return written(nm, MARK[unit], unit, true) + " " + unit; },
      deep: deep,
      deepText: function (nm) { return deep(nm) + " " + unit; }
    };
  };
})(window.Bench);
