/* Brings waiting taps to the studio, in order, and asks what others tapped. One request at a time. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var MOST = 40, PATIENCE = 15000, LONGEST = 30000, IDLE = 240000;

  function token() {
    var found = /(?:^|; )csrftoken=([^;]+)/.exec(document.cookie);
    return found ? found[1] : "";
  }

  /* ``hear(answer, sent)`` is given what the studio says; ``tell(state, why)`` one of "here", "away", "out". */
  Bench.Link = function (data, outbox, pace, hear, tell) {
    var seq = data.seq, busy = false, again = false, failed = 0, timer = null, lastNews = Date.now(), single = false;

    function request(facts) {
      var stop = new AbortController(), patience = window.setTimeout(function () { stop.abort(); }, PATIENCE);
      var headers = { Accept: "application/json", "X-Requested-With": "XMLHttpRequest" }, asked;
      if (facts.length) {
        headers["Content-Type"] = "application/json";
        headers["X-CSRFToken"] = token();
        var body = { facts: facts, after: seq, device: data.device, person: data.person.id };
        asked = { method: "POST", body: JSON.stringify(body), headers: headers };
      } else {
        asked = { headers: headers };
      }
      asked.signal = stop.signal;
      asked.redirect = "manual";
      asked.cache = "no-store";
      var where = facts.length ? data.post : data.post + "?after=" + seq + "&person=" + data.person.id;
      return window.fetch(where, asked).finally(function () { window.clearTimeout(patience); });
    }

    function understood(response) {
      if (response.type === "opaqueredirect") { return { status: 403, body: {} }; }
      if (response.status >= 500) { throw new Error("The studio stumbled: " + response.status); }
      return response.json().catch(function () { return {}; }).then(function (body) {
        return { status: response.status, body: body };
      });
    }

    function took(answer, sent) {
      failed = 0;
      single = false;
      if (answer.facts && answer.facts.length || sent.length) { lastNews = Date.now(); }
      seq = Math.max(seq, answer.seq || 0);
      var known = hear(answer, sent);
      // A tap that the studio neither has nor refuses: look once more from the beginning.
      if (sent.some(function (fact) { return !known(fact.op); })) { seq = 0; failed = 2; }
      tell("here", "");
    }

    function refusedWhole(sent, why) {
      if (sent.length > 1) { single = true; again = true; return; }
      if (sent.length) { outbox.refuse(sent[0].op, why); again = true; }
      hear({ seq: seq, facts: [] }, []);
    }

    function settle(got, sent) {
      var why = got.body.why || "";
      if (got.status === 200) { took(got.body, sent); return; }
      if (got.status === 403 || got.status === 401 || got.status === 409 || got.status === 404) {
        failed += 1;
        tell("out", why || "Sign in again: the studio does not know this device any more.");
        return;
      }
      if (got.status === 400 || got.status === 422) { refusedWhole(sent, why); return; }
      throw new Error("Answered " + got.status);
    }

    function pause() {
      if (failed) { return Math.min(LONGEST, pace.least * Math.pow(2, Math.min(failed, 6) - 1)); }
      return Date.now() - lastNews > IDLE ? pace.poll * 2.5 : pace.poll;
    }

    function plan() {
      window.clearTimeout(timer);
      if (again && !failed) { again = false; go(); return; }
      again = false;
      if (document.hidden && !outbox.waiting().length) { return; }
      timer = window.setTimeout(go, pause());
    }

    function go() {
      window.clearTimeout(timer);
      if (busy) { again = true; return; }
      var sent = outbox.waiting().slice(0, single ? 1 : MOST);
      busy = true;
      request(sent).then(understood).then(function (got) { settle(got, sent); }).catch(function () {
        failed += 1;
        tell("away", "");
      }).then(function () {
        busy = false;
        if (!failed && outbox.waiting().length) { again = true; }
        plan();
      });
    }

    window.addEventListener("online", function () { failed = 0; go(); });
    window.addEventListener("offline", function () { tell("away", ""); });
    document.addEventListener("visibilitychange", function () { if (!document.hidden) { failed = 0; go(); } });
    return { go: go, start: function () { if (outbox.waiting().length) { go(); } else { plan(); } } };
  };
})(window.Bench);
