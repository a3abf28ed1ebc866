// A section of the page that plays one or several replays on one clock.
import { decode } from "./decode.js";
import { Clock } from "./clock.js";
import { pen } from "./palette.js";
import { stage } from "./stage.js";
import { Orbit, VIEWS, frameOf } from "./scene/views.js";
import { figureCursors } from "./figures.js";
import { Charts } from "./ui/charts.js";
import { Pane } from "./ui/pane.js";
import { Scrub } from "./ui/scrub.js";
import { Toolbar } from "./ui/toolbar.js";
import { el } from "./ui/dom.js";
import { WORDS } from "./words.js";

let sections = 0;

export class Player {
  constructor(section) {
    this.section = section;
    this.number = ++sections;
    this.ready = false;
    this.leaving = [];
    const ids = (section.dataset.replays ?? "").split(/\s+/).filter(Boolean);
    this.replays = ids.map((id) => decode(JSON.parse(document.getElementById(id).textContent)));
    if (!this.replays.length) throw new Error("no replay is named");
    this.view = VIEWS.includes(section.dataset.view) ? section.dataset.view : "road";
    // Without WebGL the drawing of the slip plane still moves; it belongs to the view of the base.
    if (!stage()) this.view = "base";
    this.forces = true;
    /// The run that has the room of a narrow window; -1: all.
    this.only = -1;
    this.orbit = new Orbit();
    this.clock = new Clock(0, 0, (t) => this.tick(t));
    this.parts();
    this.figures = figureCursors(ids, (t) => {
      this.clock.pause();
      this.clock.seek(t);
    });
    const caution = this.replays[0].caution;
    this.root = el("div", { class: "gp", "data-runs": this.replays.length },
      this.toolbar.root,
      (this.row = el("div", { class: "gp-panes", style: `--runs:${this.replays.length}` }, ...this.panes.map((p) => p.root))),
      this.scrub.root,
      ...(this.charts ? [this.charts.root] : []),
      el("p", { class: "gp-keyhint" }, WORDS.keys),
      ...(caution ? [el("p", { class: "gp-caution" }, caution)] : []),
    );
    this.root.tabIndex = -1;
    // A still that stays stands below the moving picture; another one gives its place to it.
    if (stage() && section.querySelector(":scope > .still.stays")) section.prepend(this.root);
    else section.append(this.root);
    section.classList.add(stage() ? "gp-live" : "gp-still-only");
    section.addEventListener("keydown", (e) => this.key(e));
    if (typeof ResizeObserver === "function") new ResizeObserver(() => this.redraw()).observe(this.root);
    if (typeof IntersectionObserver === "function") {
      this.visible = false;
      new IntersectionObserver((entries) => {
        this.visible = entries.some((e) => e.isIntersecting);
        if (this.visible) this.redraw();
      }, { rootMargin: "200px" }).observe(section);
    } else this.visible = true;
    this.api();
    this.setOnly(-1);
    // Drawn when it comes into sight; words and numbers are there at once.
    this.tick(0);
    for (const p of this.panes) p.words(0, this.view);
    this.root.dataset.view = this.view;
    this.ready = true;
  }

  /// Everything that belongs to the replays: clock, panes, buttons, bar of time, charts.
  parts() {
    const end = Math.max(...this.replays.map((r) => r.end_s));
    const slow = Math.min(end, Math.max(...this.replays.map((r) => r.slow_until_s)));
    this.clock.span(end, slow);
    const several = this.replays.length > 1;
    this.panes = this.replays.map((r, i) => new Pane(r, i, several, this.orbit, () => this.redraw(), this.section.dataset.verdict === "later" ? slow : 0));
    this.panes.forEach((p) => (p.picture.tabIndex = 0));
    // From here on what the falling pole does to the car is no longer counted as lost in the blow.
    (this.section.dataset.lostUntil ?? "").split(" ").forEach((t, i) => this.panes[i] && (this.panes[i].lostUntil = Number(t) || Infinity));
    this.toolbar = new Toolbar(this, this.replays, this.number);
    this.scrub = new Scrub(this.clock, this.replays, this.replays.map((_, i) => pen(i).colour));
    this.charts = this.section.dataset.charts === "no" ? null : new Charts(this.replays, this.clock, this.number);
  }

  /// Shows other replays in the place of these: time, speed, view and turning stay as they are.
  show(...texts) {
    const replays = texts.map(decode);
    if (!replays.length) throw new Error("no replay is given");
    const before = { panes: this.panes, toolbar: this.toolbar, scrub: this.scrub, charts: this.charts };
    const focus = before.panes.findIndex((p) => p.picture === document.activeElement);
    this.replays = replays;
    this.parts();
    this.toolbar.repeat.checked = this.clock.repeat;
    before.toolbar.root.replaceWith(this.toolbar.root);
    before.scrub.root.replaceWith(this.scrub.root);
    if (this.charts) before.charts.root.replaceWith(this.charts.root);
    this.row.style.setProperty("--runs", replays.length);
    this.root.dataset.runs = replays.length;
    for (const p of this.panes) p.words(this.clock.time, this.view);
    // The old picture stands until the new one has been drawn: nothing flickers.
    if (this.visible !== false) this.panes.forEach((p, i) => p.cover(before.panes[i]));
    this.row.replaceChildren(...this.panes.map((p) => p.root));
    this.setOnly(this.only);
    if (focus >= 0) this.panes[Math.min(focus, this.panes.length - 1)].picture.focus({ preventScroll: true });
    // What the graphics card holds of the old ones is given back once the new ones are drawn: their programs serve again.
    this.leaving.push(...before.panes);
    this.tick(this.clock.time);
  }

  /// What the page may call.
  api() {
    const p = this;
    this.section.player = {
      play: () => p.clock.play(),
      pause: () => p.clock.pause(),
      seek: (t) => p.clock.seek(t),
      step: (n) => p.clock.step(n),
      setSpeed: (x) => p.clock.setSpeed(x),
      setView: (name) => p.setView(name),
      setOnly: (i) => p.setOnly(i),
      show: (...replays) => p.show(...replays),
      get time_s() {
        return p.clock.time;
      },
      get end_s() {
        return p.clock.end;
      },
      get playing() {
        return p.clock.playing;
      },
      get ready() {
        return p.ready;
      },
      get view() {
        return p.view;
      },
      get speed() {
        return p.clock.speed;
      },
      get webgl() {
        return !!stage();
      },
      /// Where things are now, for tests: foot and tip of every run's pole, states of its bolts.
      probe: () => p.panes.map((pane) => ({
        ...pane.ends(p.clock.time), bolts: pane.states.all(p.clock.time).map((b) => b.state), lost: pane.numbers.lost.textContent,
      })),
    };
  }

  setView(name) {
    if (!VIEWS.includes(name) || !stage()) return;
    if (name !== this.view) this.orbit.reset();
    this.view = name;
    this.toolbar.update();
    this.redraw();
  }

  setOnly(i) {
    this.only = i < this.replays.length ? i : -1;
    this.root.dataset.only = this.only < 0 ? "all" : "one";
    this.panes.forEach((p, n) => p.root.classList.toggle("gp-aside", this.only >= 0 && n !== this.only));
    this.toolbar.update();
    this.redraw();
  }

  setForces(on) {
    this.forces = on;
    this.toolbar.update();
    this.redraw();
  }

  tick(t) {
    this.toolbar?.update();
    this.scrub?.update(t);
    this.charts?.update(t);
    for (const f of this.figures ?? []) f.update(t);
    this.redraw();
    this.section.dispatchEvent(new CustomEvent("player-time", { detail: { time_s: t } }));
  }

  /// Draws at the next frame, once however often it is asked for.
  redraw() {
    if (this.pending) return;
    this.pending = true;
    requestAnimationFrame(() => {
      this.pending = false;
      if (this.visible !== false) this.drawNow();
      else for (const p of this.panes) p.words(this.clock.time, this.view);
    });
  }

  drawNow() {
    const t = this.clock.time;
    this.root.dataset.view = this.view;
    const frame = frameOf(this.replays, t);
    for (const p of this.panes) p.draw(t, this.view, frame, this.forces);
    for (const p of this.leaving.splice(0)) p.dispose();
    for (const p of this.panes) p.before = null;
    this.section.dispatchEvent(new CustomEvent("player-drawn", { detail: { time_s: t } }));
  }

  key(e) {
    const field = e.target;
    if (e.altKey || e.metaKey || e.ctrlKey || field instanceof HTMLSelectElement) return;
    // Lists keep all keys, choices their arrows; a button or a choice keeps its space bar.
    const own = field instanceof HTMLInputElement && field.type !== "range";
    const presses = field instanceof HTMLButtonElement || own;
    const c = this.clock;
    const turn = { ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, 0.08], ArrowDown: [0, -0.08] }[e.key];
    if (own && (e.key.startsWith("Arrow") || e.key === "Home" || e.key === "End")) return;
    if (e.shiftKey && turn) {
      this.orbit.turn(...turn);
      this.redraw();
    } else if (e.key === " " && !presses) {
      if (c.playing) c.pause();
      else c.play();
    } else if (e.key === "ArrowLeft") c.step(-1);
    else if (e.key === "ArrowRight") c.step(1);
    else if (e.key === "ArrowUp") c.shiftSpeed(1);
    else if (e.key === "ArrowDown") c.shiftSpeed(-1);
    else if (e.key === "Home") c.seek(0);
    else if (e.key === "End") c.seek(c.end);
    else if (e.key >= "1" && e.key <= String(VIEWS.length) && e.key.length === 1) this.setView(VIEWS[Number(e.key) - 1]);
    else if (e.key === "+" || e.key === "=") {
      this.orbit.scale(1.15);
      this.redraw();
    } else if (e.key === "-") {
      this.orbit.scale(1 / 1.15);
      this.redraw();
    } else if (e.key === "0") {
      this.orbit.reset();
      this.redraw();
    } else return;
    e.preventDefault();
    // A lesson page has its own arrow keys: what the player took, it does not see.
    e.stopPropagation();
  }
}
