/* On every page: what a device keeps of the bench for anybody but who is here now is thrown away, all of it at
   the sign-in page and at sign-out. Taps that wait are not touched: they are their person's. */
(function () {
  "use strict";
  var PAGE = "bench-page/";

  function forget(but) {
    window.caches.keys().then(function (names) {
      names.forEach(function (name) { if (name.indexOf(PAGE) === 0 && name !== but) { window.caches.delete(name); } });
    }).catch(function () { return null; });
  }

  // Browsers have them over TLS only.
  if (!window.caches) { return; }
  document.addEventListener("DOMContentLoaded", function () { forget(PAGE + (document.body.dataset.whose || "")); });
  document.addEventListener("submit", function (event) {
    if (event.target.hasAttribute("data-sign-out")) { forget(""); }
  });
})();
