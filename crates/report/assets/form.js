// The form of one pole. Everything stays on this device: a draft in the browser's store, and the file that is saved.
"use strict";
(() => {
  const data = JSON.parse(document.getElementById("items").textContent);
  const form = document.getElementById("form");
  const store = `giveway-form:${data.type}`;
  const NOT = "not measured";
  const make = (tag, set = {}, ...inside) => {
    const node = Object.assign(document.createElement(tag), set);
    node.append(...inside);
    return node;
  };
  let units = data.units;
  const unitOf = (item) => item.units[units === "us" ? 1 : 0] ?? item.units[0];

  /// One value with its unit; `name` makes ids unique.
  function value(item, name, label) {
    const input = make("input", { type: "text", inputMode: "decimal", id: name, name, autocomplete: "off" });
    const parts = [make("label", { htmlFor: name, textContent: label })];
    if (item.units.length === 0) return [...parts, input];
    const select = make("select", { id: `${name}-unit`, name: `${name}-unit`, ariaLabel: `Unit: ${label}` });
    for (const u of item.units) select.append(make("option", { value: u, textContent: u }));
    select.value = unitOf(item);
    select.dataset.item = item.key;
    return [...parts, make("div", { className: "row" }, input, select)];
  }

  function choice(item, word, text, small) {
    const input = make("input", { type: "radio", name: item.key, value: word });
    const span = make("span", {}, text);
    if (small) span.append(make("small", { textContent: small }));
    return make("label", { className: "choice" }, input, span);
  }

  function controls(item) {
    const nodes = [];
    const choices = make("div", { className: "choices" });
    choices.append(choice(item, NOT, "not measured"));
    if (item.kind !== "word") choices.append(choice(item, "=", item.kind === "date" ? "date" : "measured"));
    for (const [word, meaning] of item.words) choices.append(choice(item, word, word, meaning));
    choices.querySelector("input").checked = true;
    nodes.push(choices);
    if (item.kind !== "word") {
      const box = make("div", { className: "values", hidden: true });
      const count = Math.max(1, item.count);
      for (let i = 1; i <= count; i += 1) {
        const name = `${item.key}-${i}`;
        const label = count > 1 ? `${item.each} ${i}` : item.kind === "date" ? "Date" : "Value";
        if (item.kind === "date") box.append(make("label", { htmlFor: name, textContent: label }), make("input", { type: "date", id: name, name }));
        else box.append(...value(item, name, label));
      }
      nodes.push(box);
    }
    return nodes;
  }

  function field(item) {
    const set = make("fieldset", { id: `item-${item.key}` }, make("legend", { textContent: item.title }));
    set.append(make("p", { textContent: `${item.measured} (${item.tool})` }));
    if (item.limit[0]) set.append(make("p", { className: "soft limit" }));
    set.append(...controls(item));
    if (item.details.length > 0) {
      const more = make("details", {}, make("summary", { textContent: "More about this finding" }));
      for (const detail of item.details) more.append(make("h2", { textContent: detail.measured }), ...controls(detail));
      set.append(more);
    }
    return set;
  }

  for (const item of data.items) form.append(field(item));
  const everything = data.items.flatMap((item) => [item, ...item.details]);
  const radio = (key) => form.querySelector(`input[name="${key}"]:checked`)?.value ?? NOT;
  const text = (id) => document.getElementById(id).value.trim();

  /// What was entered for an item, as a record writes it; null = not measured.
  function entered(item) {
    const word = radio(item.key);
    if (word === NOT) return null;
    if (word !== "=") return word;
    const count = Math.max(1, item.count);
    const all = [];
    for (let i = 1; i <= count; i += 1) {
      const number = text(`${item.key}-${i}`);
      const unit = document.getElementById(`${item.key}-${i}-unit`)?.value;
      all.push(number === "" ? "" : unit ? `${number} ${unit}` : number);
    }
    const some = all.filter((v) => v !== "");
    if (some.length === 0) return "";
    // One of several bolts is no answer for all of them.
    return all.join("; ");
  }

  const quoted = (s) => `"${s.replaceAll("\\", "\\\\").replaceAll('"', '\\"').replace(/[\u0000-\u001f\u007f]/g, " ")}"`;
  const NUMBER = /^[+-]?(\d+([.]\d+)?|[.]\d+|\d+\/\d+|\d+[- ]\d+\/\d+)$/;

  /// The record and what is wrong with it.
  function record() {
    const wrong = [];
    const lines = ["# Written by the form of giveway on the device of the inspector."];
    const need = (id, what) => { if (text(id) === "") wrong.push(`${what} is missing`); return text(id); };
    lines.push(`pole = ${quoted(need("pole", "The pole"))}`);
    const date = need("date", "The date");
    if (date) lines.push(`date = ${date}`);
    lines.push(`type = ${quoted(data.type)}`);
    for (const id of ["inspector", "position", "photo", "wrench"]) if (text(id)) lines.push(`${id} = ${quoted(text(id))}`);
    lines.push("", "[measured]");
    for (const item of data.items) {
      const own = entered(item);
      if (own === null) continue;
      for (const part of [item, ...item.details]) {
        const said = entered(part);
        if (said === null) continue;
        const numbers = part.kind === "number" && radio(part.key) === "=";
        if (said === "" || said.startsWith("; ") || said.includes("; ;") || said.endsWith("; ")) wrong.push(`${part.title}: a value is missing`);
        else if (numbers && said.split(";").some((v) => !NUMBER.test(v.trim().replace(/ [^\d\s]\S*$/, "")))) wrong.push(`${part.title}: "${said}" is no number; the decimal sign is a point`);
        lines.push(`${part.key} = ${quoted(said)}`);
      }
    }
    if (text("remark")) lines.push("", "[place]", `remark = ${quoted(text("remark"))}`);
    return { text: `${lines.join("\n")}\n`, wrong };
  }

  function refresh() {
    let count = 0;
    for (const item of everything) {
      const box = document.getElementById(`${item.key}-1`)?.closest(".values");
      if (box) box.hidden = radio(item.key) !== "=";
    }
    for (const item of data.items) {
      const done = entered(item) !== null && entered(item) !== "";
      document.getElementById(`item-${item.key}`).classList.toggle("done", done);
      count += done ? 1 : 0;
      const limit = document.querySelector(`#item-${item.key} .limit`);
      if (limit) limit.textContent = `Required: ${item.limit[units === "us" ? 1 : 0]}`;
    }
    document.getElementById("count").textContent = `${count} of ${data.items.length} entered`;
  }

  const fields = () => [...document.querySelectorAll("input, select, textarea")].filter((n) => n.name && n.id !== "out");
  function keep() {
    const draft = fields().filter((n) => n.type !== "radio" || n.checked).map((n) => [n.name, n.value]);
    try { localStorage.setItem(store, JSON.stringify(draft)); } catch { /* no store: the page works without */ }
  }
  function recall() {
    let draft = [];
    try { draft = JSON.parse(localStorage.getItem(store) ?? "[]"); } catch { return; }
    for (const [name, said] of draft) {
      for (const node of fields().filter((n) => n.name === name)) {
        if (node.type === "radio") node.checked = node.value === said;
        else node.value = said;
      }
    }
    units = document.querySelector('input[name="units"]:checked').value;
  }

  /// Units, limits and the choice of units go together.
  function speak(chosen) {
    units = chosen;
    document.querySelector(`input[name="units"][value="${units}"]`).checked = true;
    for (const item of everything) {
      for (const select of document.querySelectorAll(`select[data-item="${item.key}"]`)) {
        // A value that stands there keeps the unit in which it was read.
        if (text(select.id.replace(/-unit$/, "")) === "") select.value = unitOf(item);
      }
    }
  }
  document.addEventListener("input", (e) => {
    if (e.target.name === "units") speak(e.target.value);
    refresh();
    keep();
  });
  document.getElementById("here").addEventListener("click", () => {
    const say = (t) => { document.getElementById("problems").textContent = t; };
    if (!navigator.geolocation) { say("This device gives no position; type it."); return; }
    navigator.geolocation.getCurrentPosition(
      (p) => { document.getElementById("position").value = `${p.coords.latitude.toFixed(6)}, ${p.coords.longitude.toFixed(6)}`; keep(); },
      () => say("The device gave no position; type it."), { timeout: 20000 });
  });
  document.getElementById("save").addEventListener("click", () => {
    const { text: toml, wrong } = record();
    document.getElementById("problems").textContent = wrong.join(". ");
    document.getElementById("out").value = toml;
    if (wrong.length > 0) { document.getElementById("problems").scrollIntoView(); return; }
    const name = `${text("pole").replace(/[^\w.-]+/g, "_")}.toml`;
    const link = make("a", { href: URL.createObjectURL(new Blob([toml], { type: "application/toml" })), download: name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  });
  document.getElementById("clear").addEventListener("click", () => {
    if (!confirm("Empty the form for the next pole? What was not saved is lost.")) return;
    try { localStorage.removeItem(store); } catch { /* nothing was kept */ }
    const inspector = text("inspector");
    const chosen = units;
    document.forms[0].reset();
    document.getElementById("inspector").value = inspector;
    speak(chosen);
    refresh();
  });
  recall();
  refresh();
})();
