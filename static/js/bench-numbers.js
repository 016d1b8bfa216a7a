/* Numbers of units as they are said: shortened where many follow one another. The same as views/bench_numbers.py,
   which a test compares it with. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var STEPS = { 2: "every other one", 3: "every third", 4: "every fourth", 5: "every fifth", 6: "every sixth" }, ALIKE = 4, MOST = 8;

  /* Up to where numbers go on at the same distance, if that has a name. */
  function endOf(numbers, start) {
    var end = start + 1, step = end < numbers.length ? numbers[end] - numbers[start] : 0;
    if (step !== 1 && !STEPS[step]) { return end; }
    while (end < numbers.length && numbers[end] - numbers[end - 1] === step) { end += 1; }
    return end;
  }

  function parts(numbers) {
    var found = [], start = 0;
    while (start < numbers.length) {
      var end = endOf(numbers, start), part = numbers.slice(start, end - start >= ALIKE ? end : start + 1);
      found.push(part);
      start += part.length;
    }
    return found;
  }

  function said(part) {
    if (part.length < 2) { return part.join(""); }
    var step = part[1] - part[0], ends = part[0] + " to " + part[part.length - 1];
    return step === 1 ? ends : STEPS[step] + " from " + ends;
  }

  Bench.listed = function (units) {
    var sorted = Array.from(new Set(units)).sort(function (a, b) { return a - b; }), all = parts(sorted), texts = all.map(said);
    if (all.length > MOST) {
      var left = all.slice(MOST - 1).reduce(function (sum, part) { return sum + part.length; }, 0);
      return texts.slice(0, MOST - 1).join(", ") + " and " + left + " more";
    }
    return texts.length > 1 ? texts.slice(0, -1).join(", ") + " and " + texts[texts.length - 1] : texts.join("");
  };
})(window.Bench);
