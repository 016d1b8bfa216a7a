/* The page of a lay works without this file. It lets a mouse drag a panel to where it should lie, which fills
   and sends the same form as the numbers do, and keeps drawings where they were scrolled to. */
(function () {
  "use strict";
  var SNAP = 9, LEAST = 4, drag = null;

  function number(node, name) { return Number(node.dataset[name]); }

  function place(panel) {
    return { x: number(panel, "x"), y: number(panel, "y"), width: number(panel, "width"), length: number(panel, "length") };
  }

  /* The nearest of the wanted places, else the place itself. */
  function snapped(at, wanted, reach) {
    var best = at, off = reach;
    wanted.forEach(function (one) {
      if (Math.abs(one - at) < off) { off = Math.abs(one - at); best = one; }
    });
    return best;
  }

  function edges(drag, start, size) {
    var gap = drag.gap;
    return drag.others.reduce(function (found, other) {
      return found.concat([other[start] + other[size] + gap, other[start] - drag.from[size] - gap, other[start]]);
    }, [0]);
  }

  function moved(event) {
    var svg = drag.svg, box = svg.getBoundingClientRect();
    var scale = svg.viewBox.baseVal.width / box.width, nm = number(svg, "nm");
    var right = (event.clientX - drag.startX) * scale, down = (event.clientY - drag.startY) * scale;
    var upright = svg.dataset.upright === "on", reach = SNAP * scale * nm;
    var across = Math.round((upright ? right : down) * nm), along = Math.round((upright ? down : right) * nm);
    var most = number(svg, "width") - drag.from.width;
    var x = snapped(drag.from.x + across, edges(drag, "x", "width").concat([most]), reach);
    var y = snapped(drag.from.y + along, edges(drag, "y", "length"), reach);
    drag.x = Math.max(0, Math.min(x, most));
    drag.y = Math.max(0, y);
    drag.far = drag.far || Math.hypot(right, down) > LEAST;
    var a = (drag.x - drag.from.x) / nm, b = (drag.y - drag.from.y) / nm;
    drag.panel.setAttribute("transform", "translate(" + (upright ? a + " " + b : b + " " + a) + ")");
  }

  function end() {
    var was = drag;
    drag = null;
    was.panel.classList.remove("dragged");
    return was;
  }

  function millimetres(nm) { return (nm / 1e6).toFixed(6) + " mm"; }

  function send(was) {
    var form = document.querySelector(was.frame.dataset.move);
    ["name", "copy", "turned", "on"].forEach(function (name) { form.elements[name].value = was.panel.dataset[name]; });
    form.elements.x.value = millimetres(was.x);
    form.elements.y.value = millimetres(was.y);
    form.requestSubmit();
  }

  document.addEventListener("pointerdown", function (event) {
    var panel = event.target.closest("g.movable"), frame = panel && panel.closest("[data-move]");
    if (!frame || event.button !== 0 || event.pointerType === "touch") { return; }
    event.preventDefault();
    var svg = panel.ownerSVGElement;
    var others = Array.from(svg.querySelectorAll("g.movable")).filter(function (one) { return one !== panel; }).map(place);
    drag = {
      panel: panel, svg: svg, frame: frame, from: place(panel), others: others, gap: number(frame, "gap") || 0,
      startX: event.clientX, startY: event.clientY, far: false
    };
    panel.classList.add("dragged");
    panel.parentNode.appendChild(panel);
  });
  document.addEventListener("pointermove", function (event) { if (drag) { moved(event); } });
  document.addEventListener("pointerup", function (event) {
    if (!drag) { return; }
    moved(event);
    var was = end();
    if (was.far) { send(was); } else { was.panel.removeAttribute("transform"); }
  });
  document.addEventListener("keydown", function (event) {
    if (drag && event.key === "Escape") { end().panel.removeAttribute("transform"); }
  });

  /* What is being typed while an answer comes stays: an open fold stays open, with what was changed in it. */
  var kept = [], folds = [], typed = [];
  function all(what) { return Array.from(document.querySelectorAll("#lay " + what)); }
  function keep() {
    kept = frames().map(function (one) { return one.scrollLeft; });
    folds = all("details.fold").map(function (one) { return one.open; });
    typed = all("details.fold input").filter(function (one) {
      return one.type !== "hidden" && (one.checked !== one.defaultChecked || one.value !== one.defaultValue);
    });
  }
  function bring() {
    frames().forEach(function (one, place) { one.scrollLeft = kept[place] || 0; });
    all("details.fold").forEach(function (one, place) { one.open = one.open || Boolean(folds[place]); });
    typed.forEach(function (old) {
      var one = old.id && document.getElementById(old.id);
      if (one && one !== old) { one.value = old.value; one.checked = old.checked; }
    });
  }
  function frames() { return Array.from(document.querySelectorAll("#lay .scroll")); }
  document.addEventListener("htmx:beforeSwap", keep);
  document.addEventListener("htmx:beforeRequest", function (event) {
    /* What was said of an earlier change would be read as the answer to this one. */
    var said = document.querySelector("ul.messages");
    if (said && event.detail.requestConfig.verb === "post") { said.remove(); }
  });
  document.addEventListener("htmx:afterSwap", bring);
})();
