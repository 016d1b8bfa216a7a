/* Changing person in place: a name was tapped and its PIN stands in the page (htmx brings it). Cancel and Escape
   put it away, and what the studio can't be asked is said there. Without this file each name leads to a page. */
(function () {
  "use strict";

  function place(node) { return node && node.closest ? node.closest("[data-pin-here]") : null; }

  function putAway(box) {
    var form = box.querySelector("form[data-name]"), name = form && document.getElementById(form.dataset.name);
    box.replaceChildren();
    if (name) { name.focus(); }
  }

  function say(box, text) {
    var line = box.querySelector("[data-said]");
    if (!line) {
      line = document.createElement("p");
      line.className = "error";
      line.dataset.said = "";
      line.setAttribute("role", "alert");
      (box.querySelector("form") || box).append(line);
    }
    line.textContent = text;
  }

  document.addEventListener("click", function (event) {
    var link = event.target.closest ? event.target.closest("[data-close]") : null, box = place(link);
    if (box) { event.preventDefault(); putAway(box); }
  });
  document.addEventListener("keydown", function (event) {
    var box = event.key === "Escape" && place(event.target);
    if (box) { event.preventDefault(); putAway(box); }
  });

  /* The name that was tapped last is asked for, wherever another PIN was asked for before. */
  document.addEventListener("htmx:beforeRequest", function (event) {
    var box = place(event.detail.target);
    if (!box || box.contains(event.detail.elt)) { return; }
    document.querySelectorAll("[data-pin-here]").forEach(function (one) { one.replaceChildren(); });
  });
  document.addEventListener("htmx:sendError", function (event) {
    var box = place(event.detail.target);
    if (box) { say(box, "Changing person needs the connection, and there is none now. Taps and timer stay as they are."); }
  });
  document.addEventListener("htmx:responseError", function (event) {
    var box = place(event.detail.target);
    if (box) { say(box, "The studio could not change the person. Open this page anew, and try again."); }
  });
})();
