/* The recipe page works without this file. It marks fields in error for assistive technology after a live
   answer (the field itself is never replaced, so the caret stays) and closes the rows' menus. */
(function () {
  "use strict";
  function markErrors() {
    document.querySelectorAll("#recipe-form [aria-describedby]").forEach(function (input) {
      var box = document.getElementById(input.id + "-error");
      if (!box) { return; }
      if (box.textContent.trim()) { input.setAttribute("aria-invalid", "true"); } else { input.removeAttribute("aria-invalid"); }
    });
  }
  function closeMenus(except) {
    document.querySelectorAll("details.more[open]").forEach(function (menu) { if (menu !== except) { menu.open = false; } });
  }
  function afterAnswer() {
    markErrors();
    var wanted = document.querySelector("#recipe-form [data-focus]");
    if (wanted) { wanted.removeAttribute("data-focus"); wanted.focus(); }
  }
  /* An answer that brings rows anew must not undo what was typed while it was on its way: what changed in
     the form since the question was asked is put back, and worked out again. */
  var asked = new WeakMap();
  function typed() {
    var found = new Map();
    document.querySelectorAll("#recipe-form input:not([type=hidden]), #recipe-form textarea").forEach(function (field) {
      if (field.name && field.type !== "checkbox" && field.type !== "radio") { found.set(field.name, field.value); }
    });
    return found;
  }
  document.addEventListener("htmx:beforeSend", function (event) { asked.set(event.detail.xhr, typed()); });
  document.addEventListener("htmx:beforeOnLoad", function (event) {
    var before = asked.get(event.detail.xhr);
    if (!before) { return; }
    var newer = new Map();
    typed().forEach(function (value, name) {
      if (before.has(name) && before.get(name) !== value) { newer.set(name, value); }
    });
    asked.set(event.detail.xhr, newer);
  });
  document.addEventListener("htmx:afterRequest", function (event) {
    var newer = asked.get(event.detail.xhr), last = null;
    asked.delete(event.detail.xhr);
    if (!newer) { return; }
    newer.forEach(function (value, name) {
      var field = document.querySelector("#recipe-form [name=\"" + CSS.escape(name) + "\"]");
      if (field && field.value !== value) { field.value = value; last = field; }
    });
    if (last) { last.dispatchEvent(new Event("input", { bubbles: true })); }
  });
  document.addEventListener("htmx:afterSettle", afterAnswer);
  document.addEventListener("htmx:afterRequest", function () { window.setTimeout(afterAnswer, 0); });
  document.addEventListener("click", function (event) { closeMenus(event.target.closest("details.more")); });
  document.addEventListener("keydown", function (event) {
    var menu = event.key === "Escape" && document.querySelector("details.more[open]");
    if (menu) { menu.open = false; menu.querySelector("summary").focus(); }
  });
})();
