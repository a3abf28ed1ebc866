// One run: title, verdict, picture, live numbers, bolts.
import { column, line } from "../decode.js";
import { Bolts, contact, curve, lastEvent } from "../state.js";
import { paint, pixelRatio, stage } from "../stage.js";
import { camera } from "../scene/views.js";
import { RunScene } from "../scene/scene.js";
import { note, overBase, overWide } from "../overlay.js";
import { plan } from "../plan.js";
import { signSvg } from "../glyph.js";
import { pen } from "../palette.js";
import { OUTCOMES, STATES, WORDS, instant, kmph, kn, mm, say as said } from "../words.js";
import { el, say } from "./dom.js";

export class Pane {
  /// onChange: called when the view was turned; verdictFrom: the verdict is shown from this time on, s.
  constructor(replay, index, several, orbit, onChange, verdictFrom = 0) {
    this.replay = replay;
    this.orbit = orbit;
    this.several = several;
    this.states = new Bolts(replay);
    this.verdictFrom = verdictFrom;
    this.picture = el("canvas", { class: "gp-picture", role: "img" });
    this.plan = el("canvas", { class: "gp-plan", role: "img", "aria-label": WORDS.above });
    const outcome = OUTCOMES[replay.headline.outcome] ?? OUTCOMES.none;
    const letter = several ? [el("span", { class: "gp-letter" }, "ABCDEFGH"[index] ?? "?")] : [];
    this.event = el("span", { "aria-live": "polite" });
    this.brief = el("strong");
    this.numbers = {
      lost: el("b"), push: el("b"), crush: el("b"),
    };
    const live = (name, label) => el("div", { class: "gp-number" }, this.numbers[name], el("span", {}, label));
    this.lostWords = el("span", {}, WORDS.lost);
    this.gauge = el("i");
    this.bolts = this.states.list.map((b) => this.boltRow(b));
    this.status = el("p", { class: "gp-status" });
    const headline = el("p", { class: `gp-headline gp-${replay.headline.outcome}` },
      el("strong", {}, el("span", { "aria-hidden": "true" }, outcome.mark), ` ${outcome.word}`), el("span", {}, said(replay.headline.sentence)));
    // A verdict that comes later stands below: over the picture its empty place would cost room.
    const late = verdictFrom > 0;
    this.root = el("div", { class: "gp-pane", role: "group", style: `--pen:${several ? pen(index).colour : "#14325c"}`, "aria-label": replay.title },
      el("div", { class: "gp-head" },
        el("h3", {}, ...letter, el("span", {}, replay.title)),
        ...(late ? [] : [headline]),
      ),
      el("div", { class: "gp-view" }, this.picture, el("p", { class: "gp-event" }, this.event, this.brief)),
      el("div", { class: "gp-below" },
        el("div", { class: "gp-planbox" }, this.plan),
        el("div", { class: "gp-facts" },
          el("div", { class: "gp-lost" }, el("div", { class: "gp-number" }, this.numbers.lost, this.lostWords), el("div", { class: "gp-gauge" }, this.gauge)),
          el("div", { class: "gp-numbers" }, live("push", WORDS.push), live("crush", WORDS.crush)),
          this.status,
          el("ul", { class: "gp-bolts", "aria-label": WORDS.legend }, ...this.bolts.map((b) => b.row)),
          ...(late ? [headline] : []),
        ),
      ),
      ...(replay.sentences?.length ? [el("ul", { class: "gp-found", "aria-label": WORDS.found }, ...replay.sentences.map((s) => el("li", {}, said(s))))] : []),
    );
    this.drag(onChange);
  }

  boltRow(bolt) {
    const icon = el("span", { class: "gp-icon" });
    const state = el("strong");
    const force = el("span", { class: "gp-force" });
    return { bolt, icon, state, force, last: "", row: el("li", {}, icon, el("span", {}, `${WORDS.bolt(bolt.number)} `), state, force) };
  }

  /// The scene is built when it is first looked at: a long page has many.
  get run() {
    return (this.built ??= new RunScene(this.replay, this.states, this.before?.built));
  }

  /// Takes the size and the last picture of another pane until it has been drawn.
  cover(other) {
    if (!other) return;
    // Its scene gives this one what both have alike.
    this.before = other.built ? other : other.before;
    for (const name of ["picture", "plan"]) {
      const [from, to] = [other[name], this[name]];
      to.width = from.width;
      to.height = from.height;
      if (from.width && from.height) to.getContext("2d").drawImage(from, 0, 0);
    }
  }

  /// Gives back what the graphics card holds of it.
  dispose() {
    this.built?.dispose();
    this.built = null;
  }

  /// Foot and tip of the pole.
  ends(t) {
    const axis = line(this.replay.tracks.get("pole_axis"), t) ?? [];
    return { foot: axis[0], tip: axis[axis.length - 1] };
  }

  /// Speed that the vehicle had, m/s: the gauge's full length.
  get speed() {
    const told = (this.replay.numbers ?? []).find((n) => n.name === "speed" && n.value > 0);
    if (told) return told.unit === "km/h" ? told.value / 3.6 : told.value;
    if (this.v0 === undefined) {
      const t = this.replay.tracks.get("vehicle");
      // Over a few milliseconds, for the places are rounded; what was lost in them grows about as time squared.
      const h = 0.006;
      const d = ["x_m", "y_m"].map((c) => (column(t, c, h) - column(t, c, 0)) / h);
      this.v0 = Math.hypot(...d) + column(curve(this.replay, "velocity_change_mps"), "velocity_change_mps", h) / 3 || 1;
    }
    return this.v0;
  }

  /// Draws picture and plan, and sets words and numbers. Returns whether there was WebGL.
  draw(t, view, frame, forces) {
    const ratio = Math.min(2, window.devicePixelRatio || 1);
    // It changes how much room the picture has.
    this.root.classList.toggle("gp-close", view === "base");
    const ok = this.drawPicture(t, view, frame, forces, ratio);
    if (view === "base") this.drawPlan(t, forces, ratio);
    this.words(t, view);
    return ok;
  }

  drawPicture(t, view, frame, forces, ratio) {
    if (!stage()) return false;
    const c = this.picture;
    const w = c.clientWidth;
    const h = c.clientHeight;
    if (w < 10 || h < 10) return true;
    const [pw, ph] = [Math.round(w * ratio), Math.round(h * ratio)];
    if (c.width !== pw || c.height !== ph) {
      c.width = pw;
      c.height = ph;
    }
    this.run.update(t, view, forces, frame);
    const cam = camera(view, this.orbit, frame, w / h, this.run.levels.slip);
    const g = c.getContext("2d");
    g.setTransform(1, 0, 0, 1, 0, 0);
    // Words stay sharp even where the picture is coarse.
    const fine = pixelRatio();
    paint(this.run.scene, cam, g, Math.round(w * fine), Math.round(h * fine));
    g.setTransform(ratio, 0, 0, ratio, 0, 0);
    if (view === "base") overBase(g, this.run, cam, t, w, h, forces);
    else overWide(g, this.run, cam, w, h, forces);
    if (!this.run.pole.known) note(g, WORDS.unknown, w, h);
    return true;
  }

  drawPlan(t, forces, ratio) {
    const c = this.plan;
    const w = c.clientWidth;
    const h = c.clientHeight;
    if (w < 10 || h < 10) return;
    if (c.width !== Math.round(w * ratio)) {
      c.width = Math.round(w * ratio);
      c.height = Math.round(h * ratio);
    }
    const g = c.getContext("2d");
    g.setTransform(ratio, 0, 0, ratio, 0, 0);
    plan(g, this.run, t, w, h, forces);
  }

  words(t, view) {
    const r = this.replay;
    const lost = column(curve(r, "velocity_change_mps"), "velocity_change_mps", Math.min(t, this.lostUntil ?? Infinity));
    const push = column(contact(r), "contact_force_n", t);
    const crush = column(curve(r, "crush_m"), "crush_m", t);
    say(this.numbers.lost, kmph(lost));
    say(this.brief, WORDS.brief(lost));
    say(this.numbers.push, kn(push));
    say(this.numbers.crush, mm(crush));
    this.gauge.style.width = `${Math.min(100, (100 * lost) / this.speed)}%`;
    say(this.lostWords, lost > 1.005 * this.speed ? WORDS.thrownBack(this.speed) : WORDS.lostOf(this.speed));
    this.root.classList.toggle("gp-later", t < this.verdictFrom - 1e-9);
    const states = this.states.all(t);
    const event = lastEvent(r, t);
    say(this.event, event ? `${instant(event.time_s)}: ${event.label}` : "");
    const free = states.filter((s) => s.state === "gone").length;
    const held = states.some((s) => s.state === "held");
    const none = states.length === 0;
    say(this.status, none ? "" : free === states.length ? WORDS.letGo : held ? WORDS.held : free ? WORDS.someFree(free, states.length) : states.some((s) => s.state === "sliding") ? WORDS.slide : WORDS.clamped);
    this.status.className = `gp-status gp-is-${none ? "none" : free === states.length ? "gone" : held ? "held" : "clamped"}`;
    this.bolts.forEach((row, i) => {
      const s = states[i];
      if (row.last !== s.state) {
        row.last = s.state;
        row.icon.innerHTML = signSvg(s.state);
        say(row.state, STATES[s.state].word);
        row.row.className = `gp-bolt-${s.state}`;
      }
      const until = s.bolt.until;
      say(row.force, s.state === "gone" ? WORDS.since(until) : s.known ? `${kn(s.force)} ${WORDS.across}` : "");
    });
    const label = `${r.title}, ${WORDS.views[view]}, ${instant(t)}: ${event ? event.label + "; " : ""}${WORDS.lost} ${kmph(lost)}${none ? "" : "; " + states.map((s) => `${WORDS.bolt(s.number)} ${STATES[s.state].word}`).join(", ")}`;
    this.picture.setAttribute("aria-label", label);
  }

  /// Turning with the mouse or a finger.
  drag(onChange) {
    let from = null;
    const c = this.picture;
    c.addEventListener("pointerdown", (e) => {
      from = [e.clientX, e.clientY];
      c.setPointerCapture(e.pointerId);
    });
    c.addEventListener("pointermove", (e) => {
      if (!from) return;
      this.orbit.turn((from[0] - e.clientX) * 0.006, (e.clientY - from[1]) * 0.005);
      from = [e.clientX, e.clientY];
      onChange();
    });
    const stop = () => (from = null);
    c.addEventListener("pointerup", stop);
    c.addEventListener("pointercancel", stop);
    c.addEventListener("dblclick", () => {
      this.orbit.reset();
      onChange();
    });
    c.addEventListener("wheel", (e) => {
      // The page scrolls as everywhere, but with the control key the picture zooms.
      if (!e.ctrlKey) return;
      e.preventDefault();
      this.orbit.scale(e.deltaY < 0 ? 1.12 : 1 / 1.12);
      onChange();
    }, { passive: false });
  }
}
