/* Keeps the screen on where the browser can, says why where it can't, and notices when the device slept. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var WANTED = "bench-awake", BEAT = 30000, SLEPT = 180000;

  function wanted() {
    try { return window.localStorage.getItem(WANTED) !== "no"; } catch (error) { return true; }
  }

  function want(yes) {
    try { window.localStorage.setItem(WANTED, yes ? "yes" : "no"); } catch (error) { return; }
  }

  function why() {
    if (!window.isSecureContext) {
      return "The screen may go dark: browsers keep it on only for pages that come over TLS (https), " +
        "and this one came without. Set the device's own screen time longer.";
    }
    return "wakeLock" in navigator ? "" : "The screen may go dark: this browser can't keep it on.";
  }

  /* ``box`` holds a box to tick, whose state says all while the device does as it is told; ``line`` says why
     where it can't. */
  Bench.keepAwake = function (box, line) {
    var toggle = box.querySelector("input"), lock = null;
    function say(text) { line.textContent = text; line.hidden = !text; }
    function show() {
      toggle.checked = wanted();
      if (lock || !wanted()) { say(""); }
    }
    function refused() { say("The device does not keep its screen on now; it may be saving its battery."); }
    function ask() {
      if (!wanted() || document.hidden || lock) { show(); return; }
      navigator.wakeLock.request("screen").then(function (got) {
        lock = got;
        lock.addEventListener("release", function () { lock = null; });
        if (!wanted()) { lock.release(); }
        show();
      }, refused);
    }
    if (why()) { say(why()); return; }
    box.hidden = false;
    toggle.addEventListener("change", function () {
      want(toggle.checked);
      if (!wanted() && lock) { lock.release(); lock = null; }
      ask();
    });
    document.addEventListener("visibilitychange", ask);
    ask();
  };

  function clock(time) {
    return new Date(time).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  }

  /* A timer that should beat each half minute and did not has slept: that is told, and never counted. */
  Bench.noticeSleep = function (tell) {
    var last = Date.now();
    function beat() {
      var now = Date.now(), from = last;
      last = now;
      if (now - from > SLEPT) { tell(clock(from), clock(now)); }
    }
    window.setInterval(beat, BEAT);
    document.addEventListener("visibilitychange", beat);
  };
})(window.Bench);
