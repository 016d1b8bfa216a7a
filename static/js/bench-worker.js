/* Keeps the bench pages that were opened last, with the files they are made of, so that they can be opened
   without connection. It asks the studio first, keeps bench pages and nothing else, and only one person's.

   ``self.BENCH``: {files, version, scope, static, whose_header, version_header}, from views/bench_worker.py. */
(function (told) {
  "use strict";
  var FILES = "bench-files/", PAGE = "bench-page/", PATIENCE = 8000, MOST = 4, keeping = Promise.resolve();
  var BENCH = new RegExp("^" + told.scope + "\\d+/bench/[^/]+/$");

  function named(start) {
    return self.caches.keys().then(function (names) {
      return names.filter(function (name) { return name.indexOf(start) === 0; });
    });
  }

  function all(promises) { return Promise.all(promises); }

  function forget() {
    return named(PAGE).then(function (names) { return all(names.map(function (name) { return self.caches.delete(name); })); });
  }

  /* The page kept for an address, if any. */
  function found(path) {
    return named(PAGE).then(function (names) {
      return all(names.map(function (name) {
        return self.caches.open(name).then(function (cache) { return cache.match(path, { ignoreVary: true }); });
      }));
    }).then(function (pages) { return pages.find(Boolean); });
  }

  /* Files of another version go, unless the page that is kept was made with them. */
  function tidy(version) {
    var used = [FILES + told.version, FILES + version];
    return named(FILES).then(function (names) {
      return all(names.filter(function (name) { return used.indexOf(name) < 0; }).map(function (name) { return self.caches.delete(name); }));
    });
  }

  /* The page itself, the latest beside it that were made with the same files, and what was said since each was
     opened; the rest goes. A cache gives its pages in the order they were kept. */
  function few(cache, path, version) {
    return cache.matchAll().then(function (answers) {
      return cache.keys().then(function (requests) {
        var pages = requests.map(function (request, place) { return { path: new URL(request.url).pathname, answer: answers[place] }; })
          .filter(function (one) { return BENCH.test(one.path) && one.path !== path && one.answer.headers.get(told.version_header) === version; });
        var stay = pages.slice(1 - MOST).map(function (one) { return one.path; }).concat([path]);
        return all(requests.map(function (request) {
          var own = new URL(request.url).pathname;
          return stay.some(function (one) { return own.indexOf(one) === 0; }) ? null : cache.delete(request);
        }));
      });
    });
  }

  /* Keeps a page as the studio sent it, beside a few that were opened before it; one that is no bench page
     any more takes all with it. */
  function keep(path, answer) {
    var whose = answer.headers.get(told.whose_header), version = answer.headers.get(told.version_header);
    if (answer.type === "opaqueredirect" || answer.redirected || answer.status !== 200 || !whose) {
      return answer.status >= 500 ? null : forget();
    }
    return named(PAGE).then(function (names) {
      return all(names.map(function (name) { return name === PAGE + whose ? null : self.caches.delete(name); }));
    }).then(function () { return self.caches.open(PAGE + whose); }).then(function (cache) {
      return cache.put(path, answer).then(function () { return few(cache, path, version); });
    }).then(function () { return tidy(version); });
  }

  function later() { return new Promise(function (resolve) { self.setTimeout(resolve, PATIENCE); }); }

  /* The studio's own answer; what is kept where it can't be had, or takes too long. */
  function page(event, path) {
    var fresh = self.fetch(event.request).then(function (answer) {
      var copy = answer.clone();
      keeping = keeping.then(function () { return keep(path, copy); }).catch(function () { return null; });
      return answer;
    });
    event.waitUntil(fresh.then(function () { return keeping; }, function () { return null; }));
    function kept(instead) { return found(path).then(function (one) { return one || instead; }); }
    var patient = later().then(function () { return kept(fresh); });
    return Promise.race([fresh, patient]).catch(function () { return kept(fresh); });
  }

  function file(request) {
    return self.caches.match(request, { ignoreVary: true }).then(function (kept) { return kept || self.fetch(request); });
  }

  /* Whether a page that is open can be opened again: it is fetched where it is not kept yet, without what the
     studio says once, which is for the page that is opened next. */
  function ready(path, files) {
    return keeping.then(function () { return found(path); }).then(function (kept) {
      if (kept) { return null; }
      return self.fetch(path, { credentials: "same-origin", redirect: "manual", headers: { "X-Bench-Keeps": "1" } }).then(function (answer) { return keep(path, answer); });
    }).then(function () { return all([found(path)].concat(files.map(function (one) { return self.caches.match(one, { ignoreVary: true }); }))); })
      .then(function (all) { return all.every(Boolean); });
  }

  self.addEventListener("install", function (event) {
    event.waitUntil(self.caches.open(FILES + told.version).then(function (cache) { return cache.addAll(told.files); })
      .then(function () { return self.skipWaiting(); }));
  });

  self.addEventListener("activate", function (event) { event.waitUntil(self.clients.claim()); });

  self.addEventListener("fetch", function (event) {
    var request = event.request, where = new URL(request.url);
    if (request.method !== "GET" || where.origin !== self.location.origin) { return; }
    if (request.mode === "navigate" && BENCH.test(where.pathname)) { event.respondWith(page(event, where.pathname)); }
    else if (where.pathname.indexOf(told.static) === 0) { event.respondWith(file(request)); }
  });

  self.addEventListener("message", function (event) {
    var asked = event.data || {}, answer = event.ports[0];
    if (!answer || typeof asked.path !== "string" || !BENCH.test(asked.path)) { return; }
    event.waitUntil(ready(asked.path, asked.files || []).catch(function () { return false; })
      .then(function (yes) { answer.postMessage(yes); }));
  });
})(self.BENCH);
