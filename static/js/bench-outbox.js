/* Taps that the studio has not acknowledged yet, kept on this device.

   One entry of localStorage a tap, so that two tabs never write over each other's; its name says whose tap it
   is, of which run, and its own id. It is written before the page shows the tap, and goes when the studio has
   the tap or has refused it and somebody dropped it. Where the browser keeps nothing, taps stay in memory. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var PREFIX = "bench/", counter = 0;

  /* A random (version 4) UUID. crypto.randomUUID is there over TLS only. */
  Bench.newId = function () {
    var bytes = window.crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 15) | 64;
    bytes[8] = (bytes[8] & 63) | 128;
    var hex = Array.from(bytes, function (one) { return one.toString(16).padStart(2, "0"); }).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  };

  function read(name) {
    try { return JSON.parse(window.localStorage.getItem(name)); } catch (error) { return null; }
  }

  function names() {
    try {
      return Object.keys(window.localStorage).filter(function (name) { return name.indexOf(PREFIX) === 0; });
    } catch (error) { return []; }
  }

  function inOrder(entries) {
    return entries.filter(Boolean).sort(function (a, b) { return a.kept - b.kept || a.turn - b.turn; });
  }

  /* The outbox of one person and run; ``changed`` is called when another tab changed it. */
  Bench.Outbox = function (person, run, changed) {
    this.own = PREFIX + person + "/" + encodeURIComponent(run) + "/";
    this.person = PREFIX + person + "/";
    this.memory = new Map();
    this.fails = false;
    var own = this.own;
    window.addEventListener("storage", function (event) {
      if (event.key === null || event.key.indexOf(own) === 0) { changed(); }
    });
  };

  Bench.Outbox.prototype.write = function (entry) {
    var name = this.own + entry.fact.op;
    try {
      window.localStorage.setItem(name, JSON.stringify(entry));
      this.memory.delete(entry.fact.op);
    } catch (error) {
      this.fails = true;
      this.memory.set(entry.fact.op, entry);
    }
  };

  Bench.Outbox.prototype.add = function (fact) {
    counter += 1;
    this.write({ fact: fact, kept: Date.now(), turn: counter, refused: "" });
  };

  Bench.Outbox.prototype.entries = function () {
    var own = this.own, stored = names().filter(function (name) { return name.indexOf(own) === 0; }).map(read);
    return inOrder(stored.concat(Array.from(this.memory.values())));
  };

  Bench.Outbox.prototype.waiting = function () {
    return this.entries().filter(function (entry) { return !entry.refused; }).map(function (entry) { return entry.fact; });
  };

  Bench.Outbox.prototype.refused = function () {
    return this.entries().filter(function (entry) { return entry.refused; });
  };

  Bench.Outbox.prototype.refuse = function (op, why) {
    var entry = this.entries().find(function (one) { return one.fact.op === op; });
    if (entry) { entry.refused = why || "The studio did not take it."; this.write(entry); }
  };

  Bench.Outbox.prototype.drop = function (op) {
    this.memory.delete(op);
    try { window.localStorage.removeItem(this.own + op); } catch (error) { this.fails = true; }
  };

  /* Taps in memory alone are lost with the page. */
  Bench.Outbox.prototype.atRisk = function () { return this.memory.size; };

  /* Taps of this person's other runs, by the address they go to. */
  Bench.Outbox.prototype.strays = function () {
    var own = this.own, person = this.person, found = new Map();
    names().forEach(function (name) {
      if (name.indexOf(person) !== 0 || name.indexOf(own) === 0) { return; }
      var entry = read(name), run = decodeURIComponent(name.slice(person.length).split("/")[0]);
      if (entry && !entry.refused) { found.set(run, (found.get(run) || []).concat([entry])); }
    });
    found.forEach(function (entries, run) { found.set(run, inOrder(entries)); });
    return found;
  };

  Bench.Outbox.prototype.beside = function (run) {
    var box = Object.create(Bench.Outbox.prototype);
    return Object.assign(box, { own: this.person + encodeURIComponent(run) + "/", person: this.person, memory: new Map(), fails: false });
  };

  /* How many taps of other people, and of other runs of this person, wait on this device. */
  Bench.Outbox.prototype.elsewhere = function () {
    var own = this.own, person = this.person, all = names().filter(function (name) { return name.indexOf(own) !== 0; });
    var mine = all.filter(function (name) { return name.indexOf(person) === 0; });
    return { others: all.length - mine.length, runs: mine.length };
  };
})(window.Bench);
