// Charts from the curves of all runs, with one cursor; clicking or dragging in them moves in time.
import { column } from "../decode.js";
import { curve } from "../state.js";
import { PENS, pen } from "../palette.js";
import { WORDS, chartTitle, unit } from "../words.js";
import { el, say, svg } from "./dom.js";

const W = 420;
const H = 190;
const PAD = { left: 46, right: 12, top: 10, bottom: 28 };
const CURVES = [
  ["velocity_change_mps", "speed"], ["contact_force_n", "force"], ["crush_m", "length"], ["foot_moment_nm", "moment"],
];
const DASH_OF_RUN = (i) => pen(i).dash;

/// About n round values from low to high.
function ticks(low, high, n) {
  const raw = (high - low) / n || 1;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 2.5, 5, 10].map((k) => k * power).find((s) => s >= raw);
  const out = [];
  for (let v = Math.ceil(low / step - 1e-9) * step; v <= high + 1e-9 * step; v += step) out.push(Math.abs(v) < 1e-12 ? 0 : v);
  return { values: out, decimals: Math.max(0, -Math.floor(Math.log10(step) + 1e-9)) + (String(step / power) === "2.5" && step < 10 ? 1 : 0) };
}

/// Until when a series is known: a bolt's to its last sample, a curve holds its last value.
function lastOf(s) {
  return s.track.until ?? (s.track.kind === "curve" ? Infinity : s.track.times[s.track.times.length - 1]);
}

class Chart {
  constructor(title, series, seek) {
    this.title = title;
    this.series = series.filter((s) => s.track);
    this.seek = seek;
    this.lines = svg("g");
    this.cursor = svg("line", { class: "gp-cursor", y1: PAD.top, y2: H - PAD.bottom });
    this.dots = this.series.map((s) => svg("circle", { r: 4, fill: s.colour, stroke: "#fff", "stroke-width": 1.2 }));
    this.axes = svg("g", { class: "gp-axes" });
    this.svg = svg("svg", { viewBox: `0 0 ${W} ${H}`, class: "gp-chart", role: "img", "aria-label": title }, this.axes, this.lines, this.cursor, ...this.dots);
    this.reads = this.series.map(() => el("b"));
    const legend = this.series.map((s, i) => el("span", { class: "gp-key" },
      svg("svg", { viewBox: "0 0 26 8", width: 26, height: 8, "aria-hidden": "true" }, svg("line", { x1: 0, x2: 26, y1: 4, y2: 4, stroke: s.colour, "stroke-width": 2.6, "stroke-dasharray": s.dash })),
      s.name, " ", this.reads[i]));
    this.root = el("div", { class: "gp-chartbox" }, el("div", { class: "gp-chartname" }, el("strong", {}, title), el("span", { class: "gp-keys" }, ...legend)), this.svg);
    const move = (e) => {
      const box = this.svg.getBoundingClientRect();
      const x = ((e.clientX - box.left) / box.width) * W;
      seek(this.range * Math.min(1, Math.max(0, (x - PAD.left) / (W - PAD.left - PAD.right))));
    };
    this.svg.addEventListener("pointerdown", (e) => {
      this.svg.setPointerCapture(e.pointerId);
      move(e);
    });
    this.svg.addEventListener("pointermove", (e) => e.buttons && move(e));
  }

  x(t) {
    return PAD.left + ((W - PAD.left - PAD.right) * t) / this.range;
  }
  y(v) {
    return H - PAD.bottom - ((H - PAD.top - PAD.bottom) * (v - this.low)) / (this.high - this.low);
  }

  /// Draws axes and lines for times from 0 to range.
  show(range) {
    this.range = range;
    let low = 0;
    let high = 1e-9;
    for (const s of this.series) {
      s.track.times.forEach((t, i) => {
        if (t > range) return;
        const v = s.factor * s.track.values[s.column][i];
        low = Math.min(low, v);
        high = Math.max(high, v);
      });
    }
    this.low = low < -0.02 * high ? low * 1.05 : 0;
    this.high = high * 1.08;
    const grid = [];
    const yt = ticks(this.low, this.high, 4);
    for (const v of yt.values) {
      grid.push(svg("line", { x1: PAD.left, x2: W - PAD.right, y1: this.y(v), y2: this.y(v), class: v === 0 ? "gp-zero" : "gp-grid" }));
      grid.push(svg("text", { x: PAD.left - 6, y: this.y(v) + 4, "text-anchor": "end" }, v.toFixed(yt.decimals)));
    }
    const seconds = range > 0.9995;
    const k = seconds ? 1 : 1000;
    const xt = ticks(0, range * k, 5);
    for (const v of xt.values) {
      grid.push(svg("line", { x1: this.x(v / k), x2: this.x(v / k), y1: PAD.top, y2: H - PAD.bottom, class: "gp-grid" }));
      grid.push(svg("text", { x: this.x(v / k), y: H - 10, "text-anchor": v / k > 0.93 * range ? "end" : "middle" }, `${v.toFixed(xt.decimals)}${v === xt.values[xt.values.length - 1] ? (seconds ? " s" : " ms") : ""}`));
    }
    this.axes.replaceChildren(...grid);
    this.lines.replaceChildren(...this.series.map((s) => {
      let d = "";
      const until = Math.min(range, lastOf(s));
      const at = (t, v) => (d += `${d ? "L" : "M"}${this.x(t).toFixed(1)} ${this.y(s.factor * v).toFixed(1)}`);
      s.track.times.forEach((t, i) => t <= until && at(t, s.track.values[s.column][i]));
      at(until, column(s.track, s.track.columns[s.column], until));
      return svg("path", { d, fill: "none", stroke: s.colour, "stroke-width": 2.4, "stroke-dasharray": s.dash, "stroke-linejoin": "round" });
    }));
  }

  update(t) {
    const x = this.x(Math.min(t, this.range));
    this.cursor.setAttribute("x1", x);
    this.cursor.setAttribute("x2", x);
    this.cursor.classList.toggle("gp-beyond", t > this.range);
    this.series.forEach((s, i) => {
      const over = t > lastOf(s) + 1e-9;
      const v = s.factor * column(s.track, s.track.columns[s.column], t);
      this.dots[i].setAttribute("cx", x);
      this.dots[i].setAttribute("cy", this.y(v));
      this.dots[i].style.display = over || t > this.range ? "none" : "";
      say(this.reads[i], over ? "\u2013" : v.toFixed(Math.abs(v) < 100 ? 1 : 0));
    });
  }
}

export class Charts {
  constructor(replays, clock, number) {
    this.clock = clock;
    const letters = replays.length > 1 ? replays.map((_, i) => "ABCDEFGH"[i]) : [""];
    const seek = (t) => {
      clock.pause();
      clock.seek(t);
    };
    this.charts = [];
    for (const [name, of] of CURVES) {
      const factor = unit(of)[1];
      const series = replays.map((r, i) => {
        const track = curve(r, name);
        return { track, column: track ? Math.max(0, track.columns.indexOf(name)) : 0, factor, name: letters[i], colour: pen(i).colour, dash: DASH_OF_RUN(i) };
      });
      if (series.some((s) => s.track)) this.charts.push(new Chart(chartTitle(name, of), series, seek));
    }
    replays.forEach((r, i) => {
      const series = [];
      for (let n = 1; n <= r.scene.base.bolt_count; n++) {
        const track = r.tracks.get(`bolt${n}`);
        const c = track ? track.columns.indexOf("tension_n") : -1;
        if (c >= 0) series.push({ track, column: c, factor: unit("force")[1], name: WORDS.bolt(n), colour: PENS[(n - 1) % 4].colour, dash: PENS[(n - 1) % 4].dash });
      }
      if (series.length) this.charts.push(new Chart(`${letters[i] ? letters[i] + ": " : ""}${chartTitle("tension", "force")}`, series, seek));
    });
    const choice = (value, checked) => el("label", { class: "gp-tab" },
      el("input", { type: "radio", name: `gp-range-${number}`, value, checked, onchange: () => this.setRange(value) }), el("span", {}, WORDS.chartRange[value]));
    this.root = el("div", { class: "gp-charts" },
      el("div", { class: "gp-chartbar" },
        el("fieldset", { class: "gp-tabs" }, el("legend", {}, WORDS.chartRangeLegend), choice("blow", true), choice("whole", false)),
        el("p", { class: "gp-hint" }, WORDS.chartHint)),
      el("div", { class: "gp-chartgrid" }, ...this.charts.map((c) => c.root)));
    this.show("blow");
  }

  /// By the person: stays as it was set.
  setRange(which) {
    this.chosen = which;
    this.show(which);
    this.update(this.clock.time);
  }

  show(which) {
    this.shown = which;
    this.range = which === "whole" ? this.clock.end : Math.min(this.clock.end, this.clock.slowUntil);
    for (const c of this.charts) c.show(this.range);
    for (const i of this.root.querySelectorAll(".gp-chartbar input")) i.checked = i.value === which;
  }

  /// Unless somebody has chosen, the charts widen when time leaves the blow.
  update(t) {
    const due = t <= this.clock.slowUntil ? "blow" : "whole";
    if (!this.chosen && due !== this.shown) this.show(due);
    for (const c of this.charts) c.update(t);
  }
}
