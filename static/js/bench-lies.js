/* Where a unit is folded and sewn, with what is sewn that is sewn: the rule of planning/run_placed.py and of
   RunPlan.where, which a test compares it with. So it is known without connection for every unit to come. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var AS_ASKED_WITHIN = 250000;

  /* Half the square's root, to a whole nm: lines that slant lie apart by what is measured square to them. */
  function square(length) {
    var whole = BigInt(length) * BigInt(length), root = Math.floor(length / Math.SQRT2);
    while (2n * BigInt(root) * BigInt(root) > whole) { root -= 1; }
    while (2n * BigInt(root + 1) * BigInt(root + 1) <= whole) { root += 1; }
    return root;
  }

  function less(length, deep) { return deep ? length - deep : null; }

  /* The units of a run by row, each from its first edge. */
  function rowsOf(data) {
    var rows = {}, places = {};
    data.order.forEach(function (number) {
      var row = data.units[number].row;
      rows[row] = (rows[row] || []).concat([number]);
    });
    Object.keys(rows).forEach(function (row) {
      rows[row].sort(function (a, b) { return data.units[a].at_nm - data.units[b].at_nm; });
      rows[row].forEach(function (number, place) { places[number] = place; });
    });
    return { rows: rows, places: places };
  }

  Bench.Lies = function (data) {
    this.data = data;
    this.units = data.units;
    Object.assign(this, rowsOf(data));
  };

  /* The units of its row on the side the sewing comes from, the nearest first, until ``stop`` says so. */
  Bench.Lies.prototype.towards = function (number, stop) {
    var own = this.units[number], row = this.rows[own.row], step = own.far ? 1 : -1;
    for (var place = this.places[number] + step; place >= 0 && place < row.length; place += step) {
      if (stop(row[place])) { return row[place]; }
    }
    return null;
  };

  /* As planned: from the nearest seam that is sewn, what is not sewn between lying flat; else from the edge. */
  Bench.Lies.prototype.planned = function (number, state) {
    var own = this.units[number], last = this.towards(number, function (one) { return state.sewn.has(one); }), length = own.at_nm;
    if (last === null) {
      if (own.far && !own.square) { length = own.extent_nm - own.at_nm; }
      return { length: length, line: less(length, own.deep_nm), leans: null };
    }
    length = own.far ? this.units[last].start_nm - own.at_nm : own.at_nm - this.units[last].end_nm;
    if (own.square) { length = square(length); }
    return { length: length, line: less(length, own.deep_nm), leans: last };
  };

  /* {length, line, leans}: to the fold, to the stitch line (null: it has none), from the seam of which unit
     (null: from the edge). */
  Bench.Lies.prototype.where = function (number, state) {
    var own = this.units[number], where = this.planned(number, state), step = state.steps.get(number) || 0, placing = this.data.placing;
    if (where.line === null) { return where; }
    if (placing === "last") {
      var line = where.line + this.measured(number, where.leans, state);
      return { length: line + own.deep_nm + step, line: line, leans: where.leans };
    }
    var fold = where.length - this.nearer(number, where.leans, state);
    if (placing === "folds") { return { length: fold, line: fold - own.deep_nm - step, leans: where.leans }; }
    return { length: fold + step, line: fold - own.deep_nm, leans: where.leans };
  };

  /* By how much farther than planned a stitch line lies, nothing being drawn. */
  Bench.Lies.prototype.measured = function (number, leans, state) {
    var found = state.spaces.get(number) || 0;
    this.towards(number, function (one) {
      if (one === leans) { return true; }
      if (!state.sewn.has(one)) { found += (state.spaces.get(one) || 0) + 2 * (state.steps.get(one) || 0); }
      return false;
    });
    return found;
  };

  /* By how much nearer than planned a drawn mark lies to the seam it is measured from. */
  Bench.Lies.prototype.nearer = function (number, leans, state) {
    var own = this.units[number], last = this.units[leans];
    if (!last || !last.deep_nm || !own.deep_nm) { return 0; }
    var deeper = depthSewn(leans, last.deep_nm, state) - last.deep_nm;
    if (this.data.placing === "folds") { return deeper; }
    // The line that was reached first held: the tuck swallowed more on its other side.
    return Boolean(last.far) === Boolean(own.far) ? 2 * deeper : 0;
  };

  /* What a sewn tuck is believed to be: as asked, but for the guide, or as typed. */
  function depthSewn(number, planned, state) {
    var fact = state.sewn.get(number), asked = planned + Bench.beyondThen(fact, number);
    var typed = fact.unit === number && typeof fact.depth === "number" ? fact.depth : null;
    return (typed !== null && Math.abs(typed - asked) >= AS_ASKED_WITHIN ? typed : asked) - state.guideAt(fact);
  }

  function takeUp(unit) { return unit.end_nm - unit.start_nm; }

  /* What both readings at a seam should be with exactly these units sewn, nm: calc/checks.readings. */
  Bench.Lies.prototype.readings = function (number, sewn) {
    var units = this.units, places = this.places, own = units[number], whole = own.extent_nm;
    var lie = Array.from(sewn.keys()).filter(function (one) { return units[one]; });
    lie.forEach(function (one) { whole -= takeUp(units[one]); });
    function liesAt(one) {
      return lie.reduce(function (at, before) { return places[before] < places[one] ? at - takeUp(units[before]) : at; }, units[one].start_nm);
    }
    var here = liesAt(number), far = own.far ? here : whole - here;
    if (!own.origin || own.origin === number) { return { near_nm: whole - far, far_nm: far }; }
    return { near_nm: Math.abs(here - liesAt(own.origin)), far_nm: far };
  };
})(window.Bench);
