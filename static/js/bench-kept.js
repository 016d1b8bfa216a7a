/* The page's side of what is kept on the device: it has the worker registered, says whether this page can be
   opened again without connection, and keeps what the studio has said since it was opened. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var PAGE = "bench-page/", PATIENCE = 1000, LONGEST = 30000;
  var NOT = "Without a connection this page can't be opened anew: ";

  function within(promise, time, instead) {
    var late = new Promise(function (resolve) { window.setTimeout(function () { resolve(instead); }, time); });
    return Promise.race([promise, late]).catch(function () { return instead; });
  }

  /* The place of this person's page, if there is one: it is never made here, so that what was thrown away
     stays so. */
  function shelf() {
    var name = PAGE + document.body.dataset.whose;
    if (!window.caches) { return Promise.resolve(null); }
    return window.caches.has(name).then(function (there) { return there ? window.caches.open(name) : null; });
  }

  function address(data, seq) { return data.post + "?kept=" + seq; }

  /* What the studio said goes to the device before the page takes it in: only then do taps leave the outbox.
     ``after``: what the page had when it asked, so that a gap before it is seen. */
  Bench.keepAnswer = function (data, answer, after) {
    var whole = JSON.stringify(Object.assign({ after: after }, answer));
    if (!answer.facts || !answer.facts.length) { return Promise.resolve(); }
    return within(shelf().then(function (cache) {
      return cache && cache.put(address(data, answer.seq), new window.Response(whole, { headers: { "Content-Type": "application/json" } }));
    }), PATIENCE);
  };

  function takeIn(data, answers) {
    answers.sort(function (a, b) { return a.seq - b.seq; });
    answers.forEach(function (answer) {
      // One before it could not be kept: the page asks for both again.
      if (answer.after > data.seq) { return; }
      data.facts = data.facts.concat(answer.facts);
      ["seq", "now", "placing"].forEach(function (name) { data[name] = answer[name]; });
    });
  }

  /* Adds to a page's data what the studio said after it was made; what the page has already goes. */
  Bench.recall = function (data) {
    var asked = shelf().then(function (cache) {
      if (!cache) { return []; }
      return cache.keys().then(function (requests) {
        return Promise.all(requests.filter(function (request) {
          return new URL(request.url).pathname === data.post && /[?]kept=/.test(request.url);
        }).map(function (request) {
          if (Number(request.url.split("?kept=")[1]) <= data.seq) { return cache.delete(request).then(function () { return null; }); }
          return cache.match(request).then(function (found) { return found.json(); });
        }));
      });
    });
    return within(asked, PATIENCE, []).then(function (answers) {
      takeIn(data, answers.filter(Boolean));
      return data;
    });
  };

  /* Whether another page of the bench can be opened without connection. */
  Bench.keptToo = function (path) {
    return within(shelf().then(function (cache) { return cache ? cache.match(path, { ignoreVary: true }) : null; }), PATIENCE, null).then(Boolean);
  };

  function why() {
    if (!window.isSecureContext) { return "browsers keep pages only where they come over TLS (https), and this one came without."; }
    return "serviceWorker" in navigator && window.caches ? "" : "this browser can't keep it.";
  }

  function files() {
    return Array.from(document.querySelectorAll("script[src], link[rel=stylesheet]")).map(function (one) { return one.src || one.href; });
  }

  function askWorker(worker) {
    return new Promise(function (resolve) {
      var line = new MessageChannel();
      line.port1.onmessage = function (event) { resolve(event.data); };
      worker.postMessage({ path: window.location.pathname, files: files() }, [line.port2]);
    });
  }

  /* ``tell(yes, text)``: whether this page can be opened again without connection, and what to say of it. */
  Bench.keepPage = function (root, tell) {
    if (why()) { tell(false, NOT + why()); return; }
    var asked = navigator.serviceWorker.register(root.dataset.worker, { scope: root.dataset.scope, updateViaCache: "none" })
      .then(function () { return navigator.serviceWorker.ready; }).then(function (found) { return askWorker(found.active); });
    within(asked, LONGEST, false).then(function (yes) {
      tell(yes, yes ? "Without a connection this page can be opened anew on this device, with the taps that wait." :
        NOT + "this browser did not keep it (a private window, or its room is full).");
    });
  };
})(window.Bench);
