/* Brings waiting taps to the studio, in order, and asks what others tapped. One request at a time. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var MOST = 40, PATIENCE = 15000, LONGEST = 30000, IDLE = 240000;

  function token() {
    var found = /(?:^|; )csrftoken=([^;]+)/.exec(document.cookie);
    return found ? found[1] : "";
  }

  Bench.token = token;

  function ask(where, options) {
    var stop = new AbortController(), patience = window.setTimeout(function () { stop.abort(); }, PATIENCE);
    var headers = Object.assign({ Accept: "application/json", "X-Requested-With": "XMLHttpRequest" }, options.headers);
    var whole = Object.assign({}, options, { headers: headers, signal: stop.signal, redirect: "manual", cache: "no-store" });
    return window.fetch(where, whole).finally(function () { window.clearTimeout(patience); });
  }

  /* The token is read each time: a sign-in in another tab makes a new one. */
  Bench.post = function (where, body) {
    var headers = { "Content-Type": "application/json", "X-CSRFToken": token() };
    return ask(where, { method: "POST", body: JSON.stringify(body), headers: headers });
  };

  /* ``hear(answer, sent)`` is given what the studio says, and answers with a test whether an op is settled;
     ``tell(state, why, status)`` one of "here", "away", "out". */
  Bench.Link = function (data, outbox, pace, hear, tell) {
    var seq = data.seq, busy = false, again = false, failed = 0, timer = null, lastNews = Date.now(), single = false;

    function request(facts) {
      if (!facts.length) { return ask(data.post + "?after=" + seq + "&person=" + data.person.id, {}); }
      return Bench.post(data.post, { facts: facts, after: seq, device: data.device, person: data.person.id });
    }

    function understood(response) {
      if (response.type === "opaqueredirect") { return { status: 403, body: {} }; }
      if (response.status >= 500) { return { status: response.status, body: {} }; }
      return response.json().catch(function () { return {}; }).then(function (body) {
        return { status: response.status, body: body };
      });
    }

    /* Told to the device first: taps leave the outbox only once the answer outlives this page. */
    function kept(after) {
      return function (got) {
        if (got.status !== 200) { return got; }
        return Bench.keepAnswer(data, got.body, after).then(function () { return got; });
      };
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

    function away() {
      failed += 1;
      tell("away", "");
    }

    function settle(got, sent) {
      if (!got) { away(); return; }
      var why = got.body.why || "";
      if (got.status === 200) { took(got.body, sent); return; }
      if (got.status >= 500) {
        failed += 1;
        // One tap that the studio stumbles over must not keep all others from it.
        single = failed > 2;
        tell("out", "The studio has a fault (" + got.status + "): what is tapped is kept here and tried again.", got.status);
        return;
      }
      if (got.status === 403 || got.status === 401 || got.status === 409 || got.status === 404) {
        failed += 1;
        tell("out", why || "Sign in again: the studio does not know this device any more.", got.status);
        return;
      }
      if (got.status === 400 || got.status === 422) { refusedWhole(sent, why); return; }
      away();
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
      request(sent).then(understood).then(kept(seq)).catch(function () { return null; }).then(function (got) {
        // A fault of our own must be heard of, not pass for a lost connection.
        try { settle(got, sent); } catch (fault) { failed += 1; window.setTimeout(function () { throw fault; }, 0); }
        busy = false;
        if (!failed && outbox.waiting().length) { again = true; }
        plan();
      });
    }

    window.addEventListener("online", function () { failed = 0; go(); });
    window.addEventListener("offline", function () { tell("away", ""); });
    window.addEventListener("pageshow", function (event) { if (event.persisted) { failed = 0; go(); } });
    document.addEventListener("visibilitychange", function () { if (!document.hidden) { failed = 0; go(); } });
    return { go: go, start: function () { if (outbox.waiting().length) { go(); } else { plan(); } } };
  };
})(window.Bench);
