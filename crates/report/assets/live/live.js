"use strict";
(() => {
  const $ = (id) => document.getElementById(id);
  const start = JSON.parse($("start").textContent);
  const us = start.units === "us";
  const section = document.querySelector("section.player");
  const MARKS = { pass: "\u2713", marginal: "!", fail: "\u2715", "not-evaluated": "?" };
  const WORDS = { pass: "PASS", marginal: "MARGINAL", fail: "FAIL", "not-evaluated": "NOT JUDGED" };
  /// Begins the keys of the checks of what the blow does to vehicle and occupant.
  const BLOW = ["oiv_", "ridedown_", "velocity_change_", "asi", "thiv_"];
  const RANK = ["not-evaluated", "pass", "marginal", "fail"];
  /// Units of the page: what they become, and by which factor.
  const UNITS = us ? { "m/s": ["ft/s", 1 / 0.3048, 1], "km/h": ["mph", 0.62137119223733, 1], kN: ["kip", 0.22480894309971, 1], mm: ["in", 1 / 25.4, 1], m: ["ft", 1 / 0.3048, 1], kg: ["lb", 2.2046226218488, 0], "N.m": ["lbf.ft", 0.73756214927727, 0] } : {};
  /// How long a hand must rest before the ranges are computed.
  const REST_MS = 400;
  const TENTHS = ["m/s", "km/h", "kN", "g", "m"];

  // --- Words and numbers -------------------------------------------------------------------------

  function said(value, unit) {
    if (value === null || value === undefined) return "\u2013";
    const [name, factor, digits] = UNITS[unit] ?? [unit, 1, TENTHS.includes(unit) ? 1 : unit === "" ? 2 : 0];
    return `${(value * factor).toFixed(digits)}${name ? ` ${name}` : ""}`;
  }
  /// A sentence of the engine in the page's units.
  function spoken(text) {
    if (!us) return text;
    return text.replace(/(\d+(?:\.\d+)?) (km\/h|m\/s|kN|N\.m|mm|kg|m)(?![\w/^]|\.\w)/g, (all, value, unit) => said(Number(value), unit));
  }
  function ranged(check) {
    const r = check.value_range;
    return [said(check.value === null ? null : Math.abs(check.value), check.unit), r ? `${said(r[0], check.unit)} to ${said(r[1], check.unit)}` : ""];
  }
  function el(name, attributes = {}, ...children) {
    const e = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) {
      if (key.startsWith("on")) e.addEventListener(key.slice(2), value);
      else if (value !== null && value !== false) e.setAttribute(key, value);
    }
    e.append(...children);
    return e;
  }

  /// The verdict of the blow: the worst check of what happens to vehicle and occupant; roof, glass and sizes are remarks.
  function judged(summary) {
    const verdict = summary.verdicts[0];
    if (!verdict || summary.status !== "complete" || summary.ending === "no-contact") return { outcome: "not-evaluated", why: summary.headline.sentence, remarks: [] };
    const evaluated = verdict.checks.filter((c) => c.outcome !== "not-evaluated");
    const blow = evaluated.filter((c) => BLOW.some((k) => c.key.startsWith(k)));
    const worst = blow.reduce((a, b) => (!a || RANK.indexOf(b.outcome) > RANK.indexOf(a.outcome) || (b.outcome === a.outcome && (b.margin_fraction ?? 9) < (a.margin_fraction ?? 9)) ? b : a), null);
    const remarks = evaluated.filter((c) => !blow.includes(c) && c.outcome !== "pass").map((c) => {
      const [value, range] = ranged(c);
      return `${c.title}: ${value}${range ? `, estimated ${range}` : ""}; limit ${said(c.limit_max, c.unit)}`;
    });
    if (!worst) return { outcome: "not-evaluated", why: verdict.sentence, remarks };
    const limit = worst.outcome === "marginal" && worst.limit_preferred !== null ? `preferred ${said(worst.limit_preferred, worst.unit)}, at most ${said(worst.limit_max, worst.unit)}` : `at most ${said(worst.limit_max, worst.unit)}`;
    return { outcome: worst.outcome, why: `${worst.title}: ${ranged(worst)[0]}, ${limit} (${verdict.document})`, remarks };
  }

  function ended(summary) {
    const t = summary.times.release_s;
    return { released: `the base lets go after ${t === null ? "\u2013" : (1000 * t).toFixed(0)} ms`, held: "the base holds", "fixed-obstacle": "a fixed obstacle", "no-contact": "the vehicle misses the pole", "time-limit": t === null ? "the base holds" : `the base lets go after ${(1000 * t).toFixed(0)} ms` }[summary.ending] ?? summary.ending;
  }

  function lost(summary) {
    const v = summary.velocity_change;
    const d = v.at_contact_end_mps ?? v.at_engagement_end_mps;
    const before = said(3.6 * summary.impact.speed_mps, "km/h");
    return d > summary.impact.speed_mps ? `the car is stopped and thrown back (of ${before})` : `lost ${said(3.6 * d, "km/h")} of ${before}`;
  }

  /// Rows of the table: title, value, range.
  function rows(summary) {
    const checks = summary.verdicts[0]?.checks ?? [];
    const v = summary.velocity_change;
    const change = checks.find((c) => c.key === "velocity_change_mps" && c.value_range);
    const out = [
      ["Velocity change", said(v.at_contact_end_mps ?? v.at_engagement_end_mps, "m/s"), change ? ranged(change)[1] : ""],
      ["Bolts free after", summary.times.release_s === null ? "not free" : `${(1000 * summary.times.release_s).toFixed(1)} ms`, ""],
      ["Largest push on the pole", said(summary.contact.peak_force_n / 1000, "kN"), ""],
      ["Deepest crush of the vehicle", said(1000 * summary.contact.peak_crush_m, "mm"), ""],
      ["Clamp of each bolt", said(summary.impact.preload_n / 1000, "kN"), ""],
    ];
    for (const c of checks) if (BLOW.some((k) => c.key.startsWith(k)) && !c.key.startsWith("velocity_change_") && c.value !== null) out.push([c.title, ...ranged(c)]);
    const r = summary.retention;
    if (r) out.push(["In the design wind", r.holds ? "stands" : "does not hold", r.holds ? "" : r.grades.filter((g) => !g.holds).map((g) => g.grade).join(", ")]);
    for (const c of checks) if (c.value_range && !BLOW.some((k) => c.key.startsWith(k))) out.push([c.title, ...ranged(c)]);
    return out;
  }

  // --- State -------------------------------------------------------------------------------------

  const values = {};
  const base = {};
  const parts = {};
  /// What the sliders change: the scenario of the page, or a case of a lesson.
  let here = start;
  function begin(state) {
    here = state;
    for (const all of [values, base, parts]) for (const id of Object.keys(all)) delete all[id];
    for (const c of here.controls) {
      base[c.id] = values[c.id] = c.value;
      parts[c.id] = c;
    }
  }
  begin(start);
  let kept = null;
  let now = { summary: start.summary, replay: null, changes: [] };
  let number = 0;
  let asked = 0;
  let live = false;
  const times = { numbers: [], picture: [] };

  const touched = (...ids) => ids.some((id) => id in values && values[id] !== base[id]);
  const amount = (id) => `${values[id]} ${parts[id].unit}`.trim();

  /// The changed keys, as after --set.
  function changes(other = {}) {
    const held = { ...values };
    Object.assign(values, other);
    const out = here.changes.slice();
    for (const c of here.controls) if (c.key && touched(c.id)) out.push([c.key, c.kind === "range" ? amount(c.id) : values[c.id]]);
    if (touched("grout_depth", "grout_where")) {
      if (here.grouted) out.push(["as_found.grout", "{}"]);
      if (values.grout_depth > 0) {
        out.push(["as_found.grout.gap", `-${amount("grout_depth")}`]);
        if (values.grout_where !== "all") out.push(["as_found.grout.bolts", `[${values.grout_where}]`]);
      }
    }
    if (touched("stub_height", "stub_where")) {
      if (here.stubs) out.push(["as_found.stub", "[]"]);
      if (values.stub_height > 0) out.push(["as_found.stub[1].azimuth", `${values.stub_where} deg`], ["as_found.stub[1].projection", amount("stub_height")], ["as_found.stub[1].gap", us ? "0.4 in" : "10 mm"]);
    }
    Object.assign(values, held);
    return out;
  }

  // --- Controls ----------------------------------------------------------------------------------

  const fields = {};
  function build() {
    let group = null;
    $("sliders").replaceChildren();
    for (const id of Object.keys(fields)) delete fields[id];
    for (const c of here.controls) {
      if (c.group !== group?.name) {
        group = { name: c.group, box: el("fieldset", {}, el("legend", {}, c.group)) };
        $("sliders").append(group.box);
      }
      const read = el("output", { for: c.id });
      const field = c.kind === "range"
        ? el("input", { type: "range", id: c.id, min: c.min, max: c.max, step: c.step, oninput: () => set(c.id, Number(field.value)) })
        : el("select", { id: c.id, onchange: () => set(c.id, field.value) }, ...c.options.map(([value, words]) => el("option", { value }, words)));
      const box = el("div", { class: "control" }, el("label", { for: c.id }, c.label), read, field);
      group.box.append(box);
      fields[c.id] = { field, read, box };
      showField(c.id);
    }
  }
  /// The cases of a lesson: each is a scenario of its own, in which the sliders then stand.
  const title = $("title").textContent;
  const choice = el("select", { id: "case", "aria-describedby": "casewords", onchange: () => open(Number(choice.value)) });
  function cases() {
    if (!start.cases.length) return;
    choice.append(el("option", { value: -1 }, "the scenario of this page"), ...start.cases.map((c, i) => el("option", { value: i }, c.name)));
    const note = el("p", { class: "key", id: "casewords" }, "A case sets all sliders. What it has beyond them stays while you move them.");
    $("cases").append(el("fieldset", {}, el("legend", {}, "A case of the lesson"), el("div", { class: "control" }, el("label", { for: "case" }, "Open a case"), choice, note)));
  }
  function open(i) {
    choice.value = String(i);
    begin(start.cases[i] ?? start);
    $("title").textContent = here.name || title;
    build();
    bars();
    if (here.view) section.player?.setView(here.view);
    changed();
  }
  function words(id) {
    const c = parts[id];
    if (c.kind !== "range") return "";
    if (c.zero && values[id] === 0) return c.zero;
    return `${values[id].toFixed(c.digits)} ${c.unit}`.trim();
  }
  function showField(id) {
    const { field, read, box } = fields[id];
    if (String(field.value) !== String(values[id])) field.value = values[id];
    read.textContent = words(id);
    if (parts[id].kind === "range") field.setAttribute("aria-valuetext", words(id));
    box.classList.toggle("changed", touched(id));
  }
  function set(id, value) {
    if (!(id in values) || values[id] === value) return;
    values[id] = value;
    showField(id);
    changed();
  }
  function setAll(all) {
    for (const id of Object.keys(values)) {
      values[id] = all[id] ?? base[id];
      showField(id);
    }
    changed();
  }
  function changed() {
    pointer();
    $("bar").classList.add("old");
    $("reset").disabled = !touched(...Object.keys(values));
    asked = performance.now();
    ask(changes());
  }

  // --- The engine --------------------------------------------------------------------------------

  let worker = null;
  let waiting = null;
  function ask(list) {
    if (!live) return;
    number += 1;
    const scan = cells.map((torque, i) => ({ of: `cell ${i}`, want: "numbers", changes: changes({ torque }) }));
    worker.postMessage({ number, text: here.text, parts: [{ of: "numbers", want: "numbers", changes: list }, { of: "replay", want: "replay", changes: list }, ...(parts.torque ? scan : []), { of: "ranges", want: "ranges", changes: list, wait: REST_MS }] });
  }
  function told(answer) {
    const trouble = answer.error ? [answer.error] : (answer.problems ?? []).map((p) => p.message);
    $("trouble").textContent = trouble.length ? spoken(`This cannot be computed: ${trouble.slice(0, 3).join("; ")}. The numbers are those before it.`) : "";
    warned(trouble.length ? [] : answer.warnings ?? []);
    return !trouble.length;
  }
  /// What the engine holds for odd in the scenario.
  function warned(list) {
    $("warned").hidden = !list.length;
    $("warnings").replaceChildren(...list.map((w) => el("li", {}, spoken(w.path ? `${w.path}: ${w.message}` : w.message))));
  }
  function heard({ data }) {
    if (data.kind === "broken") return still(`The engine could not be started (${data.reason}).`);
    if (data.kind === "ready") return warm();
    if (waiting) return waiting(data);
    if (data.number !== number) return;
    const answer = JSON.parse(data.answer);
    if (data.of.startsWith("cell ")) return cell(Number(data.of.slice(5)), answer);
    if (data.of === "text") return written(answer);
    if (data.of === "ranges") return inRanges(answer);
    if (!told(answer)) return;
    now = { summary: answer.summary, replay: answer.replay ?? (data.of === "replay" ? null : now.replay), changes: changes() };
    if (data.of === "numbers") {
      numbers();
      times.numbers.push(performance.now() - asked);
    } else {
      picture();
    }
    if (data.of === "replay" && !parts.torque) settled();
  }
  /// The same numbers with their predictive ranges, which cost as much as thirty runs.
  function inRanges(answer) {
    if (!answer.summary) return;
    now.summary = answer.summary;
    numbers();
    document.body.dataset.ranged = number;
  }
  /// Some hidden runs, so that the browser has compiled the engine well before a hand moves a slider.
  function warm() {
    let left = 6;
    const base = changes();
    const next = () => {
      number += 1;
      worker.postMessage({ number, text: here.text, parts: [{ of: "warm", want: left % 2 ? "replay" : "numbers", changes: base }] });
    };
    waiting = () => {
      left -= 1;
      if (left > 0) return next();
      waiting = null;
      live = true;
      $("state").textContent = "The engine answers. Move a slider.";
      document.body.dataset.ready = "yes";
      for (const id of ["write", "keep"]) $(id).disabled = false;
      asked = performance.now();
      ask(changes());
    };
    next();
  }
  function still(reason) {
    $("state").textContent = "";
    $("nolive").textContent = `${reason} What is shown is the scenario as it was computed when this page was made; the sliders do nothing here.`;
    for (const f of Object.values(fields)) f.field.disabled = true;
    choice.disabled = true;
    document.body.dataset.ready = "no";
  }

  // --- What is shown -----------------------------------------------------------------------------

  function numbers() {
    const j = judged(now.summary);
    $("blow").className = `blow is-${j.outcome}`;
    $("outcome").textContent = `${MARKS[j.outcome]} ${WORDS[j.outcome]}: ${ended(now.summary)}`;
    $("lost").textContent = lost(now.summary);
    $("why").textContent = spoken(j.why);
    const remarks = [...j.remarks, ...now.summary.flags.map((f) => spoken(f.sentence))];
    $("remarks").replaceChildren(...remarks.map((r) => el("li", {}, r)));
    const a = kept ? rows(kept.summary) : null;
    const titles = rows(now.summary);
    const cell = (row) => el("td", {}, row?.[1] ?? "\u2013", ...(row?.[2] ? [el("small", {}, row[2])] : []));
    $("head").replaceChildren(el("tr", {}, el("th", { scope: "col" }, "Computed"), ...(a ? [el("th", { scope: "col" }, "A, kept")] : []), el("th", { scope: "col" }, a ? "B, now" : "Now")));
    const first = a ? [el("tr", {}, el("th", { scope: "row" }, "Verdict of the blow"), cell(["", WORDS[judged(kept.summary).outcome]]), cell(["", WORDS[j.outcome]]))] : [];
    $("rows").replaceChildren(...first, ...titles.map((row) => el("tr", {}, el("th", { scope: "row" }, row[0]), ...(a ? [cell(a.find((r) => r[0] === row[0]))] : []), cell(row))));
  }
  function picture() {
    if (!now.replay) return;
    if (section.player?.show) {
      const since = asked;
      section.addEventListener("player-drawn", () => times.picture.push(performance.now() - since), { once: true });
      section.player.show(...(kept?.replay ? [kept.replay] : []), now.replay);
    }
    cut(now.replay.scene, now.summary);
  }
  section.addEventListener("player-time", (e) => moved(e.detail.time_s));

  // The bolt's section: upright through the pole's axis (left) and one bolt; the notch is open to the right.
  let slide = null;
  function cut(scene, summary) {
    const b = scene.base;
    const box = $("section");
    if (b.fixed) return box.replaceChildren();
    const grout = scene.found.grout;
    const bolts = summary.joint.bolts;
    const held = bolts.findIndex((k) => k.fate === "held");
    const at = grout?.bolts?.length ? grout.bolts[0] - 1 : Math.max(0, held);
    const mm = (m) => 1000 * m;
    const low = mm(b.lower_plate_m);
    const up = mm(b.upper_plate_m);
    const d = mm(b.bolt.diameter_m);
    const washer = b.plate_washer;
    const between = (b.round_washer.missing ? 0 : mm(b.round_washer.thickness_m)) + (b.keeper ? mm(b.keeper.thickness_m) : 0);
    const head = mm(b.bolt.head_height_m);
    const headTop = -low - mm(washer.thickness_m);
    const headLow = headTop - head;
    const top = between + up;
    const nutTop = top + mm(washer.thickness_m) + mm(b.bolt.nut_height_m);
    const half = 0.5 * mm(b.bolt.across_flats_m);
    const shapes = [];
    const rect = (x, y, w, h, fill, extra = "") => `<rect x="${x.toFixed(1)}" y="${(-y - h).toFixed(1)}" width="${w.toFixed(1)}" height="${Math.max(0, h).toFixed(1)}" fill="${fill}" stroke="#1f262d" stroke-width="0.8" ${extra}/>`;
    const ground = headLow - 22;
    if (grout) {
      const level = headLow - mm(grout.gap_m);
      const most = Math.min(level, -low);
      shapes.push(rect(-75, ground, 160, most - ground, "url(#grout)"));
      if (level > -low) shapes.push(rect(d / 2 + 1, -low, 84 - d / 2, Math.min(level, 0) + low, "url(#grout)"));
      shapes.push(`<text x="82" y="${(-ground - 4).toFixed(1)}" text-anchor="end">grout</text>`);
    }
    const wall = (y, h, edge) => rect(-75, y, 75 - d / 2 - 1, h, "url(#steel)") + rect(d / 2 + 1, y, 44, h, "#eef1f4", `stroke-dasharray="3 2"`) + (edge ? `<text x="-72" y="${(-y - h / 2 + 3).toFixed(1)}" class="on">${edge}</text>` : "");
    shapes.push(wall(-low, low, "lower plate"));
    // What moves with the upper plate.
    const upper = [wall(between, up, "upper plate")];
    const bolt = [
      rect(-half, headLow, 2 * half, head, "#9aa6b2"), rect(-d / 2, headTop, d, nutTop - headTop + 6, "#c3cad1"),
      rect(-0.5 * mm(washer.diameter_m), headTop, mm(washer.diameter_m), mm(washer.thickness_m), "#5d6873"),
      rect(-0.5 * mm(washer.diameter_m), top, mm(washer.diameter_m), mm(washer.thickness_m), "#5d6873"),
      rect(-half, top + mm(washer.thickness_m), 2 * half, mm(b.bolt.nut_height_m), "#9aa6b2"),
    ];
    if (!b.round_washer.missing) bolt.push(rect(-0.5 * mm(b.round_washer.diameter_m), 0, mm(b.round_washer.diameter_m), mm(b.round_washer.thickness_m), "#e0b64a"));
    const stub = scene.found.stubs?.[0];
    if (stub) shapes.push(rect(66, -low - 8, 12, low + 8 + mm(stub.height_m ?? stub.projection_m ?? 25), "#a81e1e"), `<text x="82" y="${(-ground - 16).toFixed(1)}" text-anchor="end">anchor stub (of another place)</text>`);
    const fate = { held: "stays clamped", "left-lower-notch": "slides out of the lower notch with the pole", "left-upper-notch": "stays behind, the pole leaves it", "squeezed-out": "is squeezed out of both notches", sheared: "is sheared off", ruptured: "is pulled apart", stripped: "loses its nut" }[bolts[at]?.fate] ?? "";
    const blocked = grout && mm(grout.gap_m) < 0 ? `${said(-mm(grout.gap_m), "mm")} of grout stand above the underside of the head` : b.round_washer.missing ? "the round washers are missing: plate lies on plate" : grout ? `${said(mm(grout.gap_m), "mm")} between grout and head` : "nothing in the way of the head";
    box.innerHTML = `<svg viewBox="-78 ${(-nutTop - 12).toFixed(1)} 166 ${(nutTop + 12 - ground + 2).toFixed(1)}" role="img" aria-label="Section through bolt ${at + 1}: ${blocked}; the bolt ${fate}"><defs><pattern id="grout" width="5" height="5" patternUnits="userSpaceOnUse"><rect width="5" height="5" fill="#d9c79f"/><circle cx="1.5" cy="1.5" r="0.8" fill="#6b5a34"/><circle cx="4" cy="3.6" r="0.6" fill="#6b5a34"/></pattern><pattern id="steel" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="5" height="5" fill="#dbe1e7"/><path d="M0 0V5" stroke="#848e97" stroke-width="1"/></pattern></defs><style>text{font:8px Arial,sans-serif;fill:#1f262d}text.on{paint-order:stroke;stroke:#fff;stroke-width:2.5px}</style>${shapes.join("")}<g id="moves">${upper.join("")}</g><g id="bolt">${bolt.join("")}</g></svg>`;
    $("fate").textContent = `Bolt ${at + 1} ${fate}: ${blocked}.`;
    slide = { fate: bolts[at]?.fate, until: bolts[at]?.release_time_s, from: summary.times.slip_onset_s, travel: mm(b.notch_travel_m) };
    moved(section.player?.time_s ?? 0);
  }
  /// The section follows the clock in words of the way: from the first slip to the bolt's release the head goes out of the notch.
  function moved(t) {
    if (!slide || !$("moves")) return;
    const { until, from, travel, fate } = slide;
    const share = until === null || until === undefined || from === null ? 0 : Math.min(1.4, Math.max(0, (t - from) / Math.max(1e-4, until - from)));
    const x = (share * travel).toFixed(1);
    const gone = ["left-lower-notch", "squeezed-out"].includes(fate);
    $("moves").setAttribute("transform", `translate(${fate === "left-upper-notch" ? -x : gone ? x : 0} 0)`);
    $("bolt").setAttribute("transform", `translate(${gone ? x : 0} 0)`);
  }

  // --- The torque bar ----------------------------------------------------------------------------

  const COUNT = 15;
  const cells = [];
  const marks = [];
  const bar = { list: [] };
  function bars() {
    const c = parts.torque;
    cells.length = marks.length = bar.list.length = 0;
    $("torquebox").hidden = !c;
    if (!c) return;
    for (let i = 0; i < COUNT; i += 1) {
      const raw = c.min + ((c.max - c.min) * (i + 0.5)) / COUNT;
      cells.push(Math.round(raw / c.step) * c.step);
      marks.push(el("span", {}, "\u00b7"));
    }
    $("bar").replaceChildren(...marks);
    $("from").textContent = `${c.min} ${c.unit}`;
    $("to").textContent = `${c.max} ${c.unit}`;
    pointer();
  }
  function pointer() {
    const c = parts.torque;
    if (!c) return;
    const share = Math.min(1, Math.max(0, (values.torque - c.min) / (c.max - c.min)));
    $("pointer").style.left = `${(8 + 84 * share).toFixed(2)}%`;
    $("pointer").textContent = `\u25bc ${words("torque")}`;
  }
  function cell(i, answer) {
    const s = answer.summary;
    const outcome = s ? judged(s).outcome : "not-evaluated";
    const wind = s?.retention && !s.retention.holds && outcome !== "fail";
    bar.list[i] = wind ? "wind" : outcome;
    marks[i].className = `is-${bar.list[i]}`;
    marks[i].textContent = wind ? "~" : MARKS[outcome];
    if (i === COUNT - 1) settled();
  }
  function settled() {
    $("bar").classList.remove("old");
    const good = cells.filter((_, i) => bar.list[i] === "pass");
    const c = parts.torque;
    const words = !c ? "" : good.length ? `Of ${COUNT} torques tried, the blow passes and the base stands in the wind from ${good[0]} to ${good[good.length - 1]} ${c.unit}${good.length < cells.filter((t) => t >= good[0] && t <= good[good.length - 1]).length ? ", with gaps" : ""}.` : `None of the ${COUNT} torques tried passes the blow and stands in the wind.`;
    $("barwords").textContent = words;
    $("bar").setAttribute("aria-label", words);
    document.body.dataset.settled = String(number);
  }

  // --- Keep, write, tour -------------------------------------------------------------------------

  function keep() {
    kept = { summary: now.summary, replay: now.replay };
    $("drop").hidden = false;
    document.body.classList.add("kept");
    numbers();
    picture();
  }
  function drop() {
    kept = null;
    $("drop").hidden = true;
    document.body.classList.remove("kept");
    numbers();
    picture();
  }
  function write() {
    number += 1;
    worker.postMessage({ number, text: here.text, parts: [{ of: "text", want: "text", changes: changes() }] });
  }
  function written(answer) {
    if (!told(answer)) return;
    $("toml").value = answer.text;
    const link = $("save");
    URL.revokeObjectURL(link.href);
    link.href = URL.createObjectURL(new Blob([answer.text], { type: "application/toml" }));
    link.download = "scenario.toml";
    if (!$("paper").open) $("paper").showModal();
    ask(changes());
  }
  let step = -1;
  function tour(to) {
    step = to;
    const s = start.tour[step];
    if (s && here !== start) open(-1);
    $("tour").hidden = !s;
    $("begin").setAttribute("aria-expanded", String(!!s));
    if (!s) return;
    $("tourtitle").textContent = `${step + 1} of ${start.tour.length}: ${s.title}. `;
    $("tourtext").textContent = s.text;
    $("back").disabled = step === 0;
    $("next").textContent = step === start.tour.length - 1 ? "End" : "Next";
    setAll(s.set);
  }

  cases();
  build();
  bars();
  warned(start.warnings);
  numbers();
  const first = document.getElementById("replay-1");
  if (first) {
    now.replay = JSON.parse(first.textContent);
    cut(now.replay.scene, now.summary);
  }
  $("reset").addEventListener("click", () => setAll({}));
  $("keep").addEventListener("click", keep);
  $("drop").addEventListener("click", drop);
  $("write").addEventListener("click", write);
  $("close").addEventListener("click", () => $("paper").close());
  $("begin").addEventListener("click", () => tour(step < 0 ? 0 : -1));
  $("next").addEventListener("click", () => tour(step + 1 < start.tour.length ? step + 1 : -1));
  $("back").addEventListener("click", () => tour(step - 1));
  $("end").addEventListener("click", () => tour(-1));
  /// For tests and for who wants to look behind the page.
  globalThis.givewayPage = { times, values, set, setAll, open, changes, get summary() { return now.summary; }, get replay() { return now.replay; }, get bar() { return bar.list; } };
  addEventListener("load", () => {
    if (section.player && !section.player.webgl) $("nogl").textContent = "This browser draws no 3-D picture (it has no WebGL): the slip plane moves as a drawing, and the still pictures stay.";
  });
  if (typeof WebAssembly !== "object" || typeof DecompressionStream !== "function" || typeof Worker !== "function") return still("This browser has no WebAssembly: it cannot compute.");
  try {
    worker = new Worker(URL.createObjectURL(new Blob([$("worker").textContent], { type: "text/javascript" })));
  } catch (problem) {
    return still(`The engine could not be started (${problem}).`);
  }
  worker.onmessage = heard;
  worker.onerror = (e) => still(`The engine could not be started (${e.message}).`);
  worker.postMessage({ engine: $("engine").textContent.trim(), text: start.text });
})();
