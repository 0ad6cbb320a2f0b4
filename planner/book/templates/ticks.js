(function () {
  "use strict";
  var name = "knockon-book: " + document.body.getAttribute("data-book");
  var state = { ticks: {}, values: {}, buys: {} };
  function all(query) { return Array.prototype.slice.call(document.querySelectorAll(query)); }
  function byId(id) { return document.getElementById(id); }
  function two(n) { return (n < 10 ? "0" : "") + n; }
  function now() {
    var d = new Date();
    return d.getFullYear() + "-" + two(d.getMonth() + 1) + "-" + two(d.getDate()) + "T" + two(d.getHours()) + ":" + two(d.getMinutes());
  }
  function say(text) { byId("ticks-said").textContent = text; }
  function load() {
    try {
      var kept = JSON.parse(localStorage.getItem(name) || "{}");
      ["ticks", "values", "buys"].forEach(function (part) { if (kept[part]) { state[part] = kept[part]; } });
    } catch (e) { say("What was kept cannot be read in this browser."); }
  }
  function keep() {
    try { localStorage.setItem(name, JSON.stringify(state)); } catch (e) { say("This browser keeps nothing: save your ticks as a file before you close the page."); }
  }
  function spot(box) { return box.getAttribute("data-check") + "\n" + box.getAttribute("data-key"); }
  var steps = all("[data-tick]"), blanks = all(".blanks");
  function count() {
    var done = steps.filter(function (box) { return box.checked; }).length;
    byId("count").hidden = false;
    byId("count").textContent = done + " of " + steps.length + " steps ticked";
    var open = steps.filter(function (box) { return !box.checked; })[0], next = byId("next");
    if (!next) { return; }
    next.hidden = !open;
    if (open) {
      next.setAttribute("href", "#" + open.closest(".step").id);
      next.textContent = open.getAttribute("aria-label").replace("Done: ", "Next: ");
    }
  }
  function fill(box) {
    var value = state.values[spot(box)] || {};
    Array.prototype.forEach.call(box.querySelectorAll("[data-field]"), function (field) {
      var text = value[field.getAttribute("data-field")] || "";
      if (field.tagName !== "INPUT") { field.textContent = text.replace("T", " "); }
      else if (field.value !== text) { field.value = text; }
    });
  }
  function show() {
    steps.forEach(function (box) { box.checked = Boolean(state.ticks[box.getAttribute("data-tick")]); });
    all("[data-buy]").forEach(function (box) { box.checked = Boolean(state.buys[box.getAttribute("data-buy")]); });
    blanks.forEach(fill);
    count();
  }
  function lines() {
    var found = [];
    steps.forEach(function (box) {
      var key = box.getAttribute("data-tick"), at = state.ticks[key];
      var signed = state.values[box.getAttribute("data-signs") + "\n" + key];
      // A check that is a step of its own is done by being signed: the value alone says it.
      if (at && !(signed && signed.text && signed.by)) { found.push({ v: 1, tick: key, at: at }); }
    });
    var seen = {};
    blanks.forEach(function (box) {
      var value = state.values[spot(box)];
      if (!value || seen[spot(box)] || !(value.text || value.by)) { return; }
      seen[spot(box)] = true;
      found.push({ v: 1, value: box.getAttribute("data-check"), text: value.text || "", by: value.by || "", at: value.at });
    });
    found.sort(function (a, b) { return a.at < b.at ? -1 : a.at > b.at ? 1 : 0; });
    return found.map(function (line) { return JSON.stringify(line) + "\n"; }).join("");
  }
  document.addEventListener("change", function (event) {
    var box = event.target, part = box.hasAttribute("data-tick") ? "tick" : box.hasAttribute("data-buy") ? "buy" : "";
    if (!part) { return; }
    var kept = part === "tick" ? state.ticks : state.buys, key = box.getAttribute("data-" + part);
    if (box.checked) { kept[key] = now(); } else { delete kept[key]; }
    keep();
    count();
  });
  document.addEventListener("input", function (event) {
    var field = event.target, box = field.closest && field.closest(".blanks");
    if (!box) { return; }
    var value = state.values[spot(box)] || {};
    value[field.getAttribute("data-field")] = field.value;
    value.at = now();
    state.values[spot(box)] = value;
    keep();
    var same = spot(box);
    blanks.forEach(function (other) { if (spot(other) === same) { fill(other); } });
  });
  byId("ticks-show").addEventListener("click", function () { byId("ticks-text").value = lines(); });
  byId("ticks-save").addEventListener("click", function () {
    var link = document.createElement("a"), url = URL.createObjectURL(new Blob([lines()], { type: "application/x-ndjson" }));
    link.href = url;
    link.download = "ticks.jsonl";
    document.body.appendChild(link);
    link.click();
    link.remove();
    setTimeout(function () { URL.revokeObjectURL(url); }, 1000);
  });
  byId("ticks-clear").addEventListener("click", function () {
    if (!window.confirm("Forget all ticks and values of this plan on this device?")) { return; }
    state = { ticks: {}, values: {}, buys: {} };
    keep();
    show();
    byId("ticks-text").value = "";
  });
  byId("ticks-box").hidden = false;
  load();
  show();
})();
