/* Lengths typed at the bench, judged on the device. It reads less than the studio does, which reads every
   text once more: a number with a point or a comma, a fraction, a whole number with a fraction, and a unit. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var UNITS = { mm: 1e6, cm: 1e7, m: 1e9, "in": 25.4e6, "\"": 25.4e6, inch: 25.4e6, inches: 25.4e6 };
  var SIGNS = {
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8", "⁄": "/", "∕": "/",
    "″": "\"", "”": "\"", "“": "\"", "–": "-", "‑": "-"
  };
  var LENGTH = /^(?:(?:(\d+)[ -])?(\d+) ?\/ ?(\d+)|(\d+(?:[.,]\d*)?|[.,]\d+)) ?([a-z]+|")?\.?$/;

  function figure(character) {
    var place = "⁰¹²³⁴⁵⁶⁷⁸⁹".indexOf(character);
    return place >= 0 ? place : "₀₁₂₃₄₅₆₇₈₉".indexOf(character);
  }

  function plain(text) {
    var raised = text.replace(/[⁰¹²³⁴⁵⁶⁷⁸⁹]+/g, function (run) { return " " + run; });
    return Array.from(raised).map(function (one) {
      return SIGNS[one] || (figure(one) >= 0 ? String(figure(one)) : one);
    }).join("").trim().toLowerCase().replace(/\s+/g, " ");
  }

  /* Whole nm, or null where it can't be read; a number without a unit is in ``unit``. */
  Bench.readLength = function (text, unit) {
    var line = plain(String(text)), found = LENGTH.exec(line), size = 0;
    if (!found || /,\d{3}(?!\d)/.test(line)) { return null; }
    var scale = UNITS[found[5] || unit];
    if (!scale) { return null; }
    if (found[4]) {
      size = Number(found[4].replace(",", "."));
    } else {
      var top = Number(found[2]), bottom = Number(found[3]);
      if (!bottom || (found[1] && top >= bottom)) { return null; }
      size = Number(found[1] || 0) + top / bottom;
    }
    return Math.floor(size * scale + 0.5);
  };

  /* How far off, for reading: to 0.5 mm, or to 1/32 in. */
  Bench.sayLength = function (nm, inches) {
    var size = Math.abs(nm);
    if (!inches) { return String(Math.round(size / 5e5) / 2) + " mm"; }
    var parts = Math.round(size / 793750), whole = Math.floor(parts / 32), rest = parts % 32, under = 32;
    while (rest && rest % 2 === 0) { rest /= 2; under /= 2; }
    return (rest ? (whole ? whole + " " : "") + rest + "/" + under : String(whole)) + " in";
  };

  /* What the readings of a seam say: how much too long it comes out (null without the second), and how far
     the seam sits from its place, in nm; ``fine`` is null where that can't be told. Where its other end was
     measured too, the mean of both ends is what counts. */
  Bench.judge = function (check, got) {
    var both = typeof got.near_end === "number", near = both ? Math.floor((got.near + got.near_end) / 2) : got.near;
    var shift = near - check.near_nm;
    if (typeof got.far !== "number") { return { shift: shift, excess: null, fine: null }; }
    var whole = got.near + got.far;
    if (both && typeof got.far_end === "number") { whole = Math.floor((whole + got.near_end + got.far_end) / 2); }
    var excess = whole - check.near_nm - check.far_nm;
    return { shift: shift, excess: excess, fine: Math.abs(excess) <= check.band_nm };
  };
})(window.Bench);
