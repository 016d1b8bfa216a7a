/* What stands beside and below the large figure, as views/bench_words.py says it. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";

  function since(data, number, leans) {
    var own = data.units[number], seam = own.deep_nm ? "seam" : data.words.mark;
    if (leans === null) { return ""; }
    var square = own.square ? ", square to it" : "", before = data.order.indexOf(leans) === data.order.indexOf(number) - 1;
    if (before) { return "from the last " + seam + square; }
    return "from " + (seam === "seam" ? "the seam of " : "") + data.words.one + " " + leans + square;
  }

  function fromWhere(data, figures, number, where) {
    var own = data.units[number], label = own.label || "", edge = data.edges[own.row][own.far ? 1 : 0];
    if (own.upto) { return label; }
    var from = since(data, number, where.leans) || (!own.deep_nm && !where.length ? "on the " + edge + " itself" : "from the " + edge);
    if (where.line !== null) { return from + " (" + figures.length(where.line) + " to the stitch line)"; }
    return label ? from + ": " + label : from;
  }

  /* Where its own mark is drawn on the flat cloth, where that is not said already. */
  function drawn(data, figures, number, where) {
    var own = data.units[number], edges = data.edges[own.row], from = " from the " + edges[0];
    if (data.placing === "last" || own.upto || own.square || (where.leans === null && !own.far)) { return ""; }
    if (data.placing !== "folds" && own.deep_nm) {
      return "stitch lines drawn " + figures.number(own.at_nm - own.deep_nm) + " and " + figures.length(own.at_nm + own.deep_nm) + from;
    }
    if (!own.deep_nm && own.at_nm === own.extent_nm) { return data.words.mark + " drawn on the " + edges[1] + " itself"; }
    return (own.deep_nm ? "fold" : data.words.mark) + " drawn " + figures.length(own.at_nm) + from;
  }

  /* Why a unit is asked at another depth than planned. */
  function why(own, figures, number, state) {
    var step = state.steps.get(number) || 0, planned = "planned " + figures.deepText(own.deep_nm) + ", ";
    return planned + (step ? (step > 0 ? "deeper" : "shallower") + " to correct" : "guide moved");
  }

  /* All that is shown of a unit: {number, mark, style, deep, unit, fold, fold_unit, from, drawn, why}. */
  Bench.unitWords = function (data, lies, figures, number, state) {
    var own = data.units[number], where = lies.where(number, state), beyond = own.deep_nm ? state.guide + (state.steps.get(number) || 0) : 0;
    return {
      number: number, mark: own.mark || "", style: own.style || "",
      deep: own.deep_nm ? figures.deep(own.deep_nm + beyond) : "", unit: own.deep_nm || !own.upto ? figures.unit : own.upto_unit,
      fold: own.upto || figures.figure(where.length), fold_unit: own.upto_unit || figures.unit,
      from: fromWhere(data, figures, number, where), drawn: drawn(data, figures, number, where),
      why: beyond ? why(own, figures, number, state) : ""
    };
  };
})(window.Bench);
