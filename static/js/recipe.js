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
  document.addEventListener("htmx:afterSettle", afterAnswer);
  document.addEventListener("htmx:afterRequest", function () { window.setTimeout(afterAnswer, 0); });
  document.addEventListener("click", function (event) { closeMenus(event.target.closest("details.more")); });
  document.addEventListener("keydown", function (event) {
    var menu = event.key === "Escape" && document.querySelector("details.more[open]");
    if (menu) { menu.open = false; menu.querySelector("summary").focus(); }
  });
})();
