/* Taps of other runs that wait on this device: sent when this page has a connection. */
window.Bench = window.Bench || {};
(function (Bench) {
  "use strict";
  var MOST = 40;

  function settle(box, answer) {
    var kept = new Set((answer.facts || []).map(function (fact) { return fact.op; }));
    box.waiting().forEach(function (fact) { if (kept.has(fact.op)) { box.drop(fact.op); } });
    (answer.refused || []).forEach(function (one) { box.refuse(one.op, one.why); });
  }

  function send(data, box, run, entries) {
    var facts = entries.slice(0, MOST).map(function (entry) { return entry.fact; });
    return Bench.post(run, { facts: facts, after: 0, device: data.device, person: data.person.id }).then(function (response) {
      return response.status === 200 ? response.json().then(function (answer) { settle(box, answer); return true; }) : false;
    }, function () { return false; });
  }

  /* Whether all of them were taken or refused; where not, this page tries no more. */
  Bench.sendStrays = function (data, outbox) {
    var runs = Array.from(outbox.strays());
    return runs.reduce(function (before, pair) {
      return before.then(function (good) {
        return send(data, outbox.beside(pair[0]), pair[0], pair[1]).then(function (sent) { return good && sent; });
      });
    }, Promise.resolve(true));
  };
})(window.Bench);
