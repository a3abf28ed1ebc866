// The opening of a lesson's case: the section through one bolt, right beside wrong on one clock, in three beats. The page
// brings the drawings; here their layers move as the replays say, and the picture draws back to the cars at the end.
import { column, decode, line, placed, pose, present, sample } from "./decode.js";
import { Bolts, curve } from "./state.js";
import { BODY, GLASS, INK, NAVY, RUBBER, RUST, SKY } from "./palette.js";
import { svg } from "./ui/dom.js";

/// Seconds on the wall of each beat.
const WALL_S = [0, 2.4, 4.5, 4.5];
/// Over this time the picture draws back in the last beat, s.
const BACK_S = 1.5;
/// A free bolt falls on for so long; its fall is not computed.
const FALL_S = 0.3;
const MM = 1000;
/// The second beat ends when the first plate has gone so far: the head is out and still in the picture.
const SEEN_MM = 62;

const read = new Map();
function replayOf(id) {
  if (!read.has(id)) read.set(id, decode(JSON.parse(document.getElementById(id).textContent)));
  return read.get(id);
}

/// One side of the comparison.
class Panel {
  constructor(root) {
    this.root = root;
    this.replay = replayOf(root.dataset.replay);
    this.svg = root.querySelector("svg.cut");
    const travel = Number(this.svg.dataset.travel);
    this.dir = [Math.cos(travel), Math.sin(travel)];
    this.home = this.svg.getAttribute("viewBox").split(" ").map(Number);
    this.states = new Bolts(this.replay);
    this.bolt = this.states.list.find((b) => b.number === Number(this.svg.dataset.bolt)) ?? null;
    this.plate = this.replay.tracks.get("plate");
    this.start = pose(this.plate, 0);
    this.layers = [...this.svg.querySelectorAll("[data-moves]")];
    this.bar = root.querySelector(".bar i");
    this.told = root.querySelector(".lost");
    this.final = this.told.textContent;
    this.lost = { end: Number(root.dataset.lost), until: Number(root.dataset.lostUntil), speed: Number(root.dataset.speed) };
    this.road = new Road(this, true);
    this.svg.querySelector(".ground").after(this.road.behind);
    this.svg.append(this.road.before);
    this.map = new Road(this, false);
    const inset = svg("svg", { class: "inset", viewBox: "-4700 -3300 6400 4000", "aria-hidden": "true", focusable: "false" },
      svg("rect", { x: -9000, y: 0, width: 18000, height: 4000, fill: "#d9d2c5" }), this.map.behind, this.map.before,
      svg("circle", { cx: 0, cy: -75, r: 520, fill: "none", stroke: "#a81e1e", "stroke-width": 130 }));
    root.querySelector(".shot").append(inset);
    this.met = this.meets();
  }

  /// How far the bolt's middle is above the ground, mm.
  get ground() {
    return -this.flat(this.bolt.seat)[1];
  }

  /// Along the travel and up, mm.
  flat(p) {
    return [MM * (p[0] * this.dir[0] + p[1] * this.dir[1]), -MM * p[2]];
  }

  /// When that which stands in the way is met, s.
  meets() {
    const stub = this.replay.scene.found?.stubs?.[0];
    for (let t = 0.001; t < this.replay.slow_until_s; t += 0.0005) {
      const now = pose(this.plate, t);
      if (stub) {
        if (this.flat(now.p)[0] - this.flat(this.start.p)[0] >= MM * stub.gap_m - 0.5) return t;
      } else if (this.bolt && this.states.at(this.bolt, t).state === "held") return t;
    }
    return this.replay.slow_until_s;
  }

  /// When the upper plate has gone so far along the travel, s.
  gone(mm) {
    const from = this.flat(this.start.p)[0];
    for (let t = 0; t < this.replay.slow_until_s; t += 0.0005) if (this.flat(pose(this.plate, t).p)[0] - from >= mm) return t;
    return Infinity;
  }

  lostAt(t) {
    if (t >= this.lost.until) return this.lost.end;
    return Math.max(0, column(curve(this.replay, "velocity_change_mps"), "velocity_change_mps", t));
  }

  /// Where the bolt is, in mm from its seat; it falls on once it is out.
  boltAt(t) {
    const track = this.bolt.track;
    const from = this.flat(this.bolt.seat);
    if (present(track, t)) {
      const p = this.flat(sample(track, t));
      return { x: p[0] - from[0], y: p[1] - from[1], turn: 0, shown: true };
    }
    const until = this.bolt.until;
    const s = t - until;
    const p = this.flat(sample(track, until));
    const before = this.flat(sample(track, until - 0.003));
    const k = Math.min(s, FALL_S) / 0.003;
    // It comes to lie on the ground and does not sink into it.
    const y = Math.min(p[1] - from[1] + MM * 4.905 * s * s, Math.max(0, this.ground - 12));
    return { x: p[0] - from[0] + (p[0] - before[0]) * k, y, turn: Math.min(80, 500 * s), shown: s < FALL_S };
  }

  draw(t, step, far) {
    const now = pose(this.plate, t);
    const [x, y] = this.flat(now.p);
    const [x0, y0] = this.flat(this.start.p);
    const along = (body) => this.flat(placed(body, [this.dir[0], this.dir[1], 0]));
    const [a, b] = [along(now), along(this.start)];
    const turn = (Math.atan2(a[1] - y, a[0] - x) - Math.atan2(b[1] - y0, b[0] - x0)) * (180 / Math.PI);
    const plate = `translate(${(x - x0).toFixed(2)} ${(y - y0).toFixed(2)}) rotate(${turn.toFixed(3)} ${x0.toFixed(1)} ${y0.toFixed(1)})`;
    const bolt = this.bolt ? this.boltAt(t) : null;
    for (const g of this.layers) {
      if (g.dataset.moves === "plate") {
        g.setAttribute("transform", plate);
        g.style.display = present(this.plate, t) ? "" : "none";
      } else if (bolt) {
        const seat = this.flat(this.bolt.seat);
        g.setAttribute("transform", `translate(${bolt.x.toFixed(2)} ${bolt.y.toFixed(2)}) rotate(${bolt.turn.toFixed(1)} ${seat[0].toFixed(1)} ${seat[1].toFixed(1)})`);
        g.style.display = bolt.shown ? "" : "none";
      }
    }
    this.svg.classList.toggle("pushed", step === 1 && t > 0);
    this.svg.classList.toggle("met", t >= this.met);
    this.svg.classList.toggle("moved", !!bolt && Math.abs(bolt.x) > 8);
    this.svg.classList.toggle("far", far > 0.03);
    this.road.draw(t);
    this.map.draw(t);
    const lost = this.lostAt(t);
    this.bar.style.width = `${Math.min(100, (100 * lost) / this.lost.speed)}%`;
    const done = t >= this.lost.until;
    this.root.classList.toggle("done", done);
    const words = done ? this.final : this.root.dataset.running.replace("#", Math.round(lost * Number(this.root.dataset.factor)));
    if (this.told.textContent !== words) this.told.textContent = words;
  }

  /// As the page was before any script: drawing and bar.
  paper(on) {
    this.svg.querySelector(".shaft")?.setAttribute("visibility", on ? "visible" : "hidden");
    if (!on) return;
    this.svg.setAttribute("viewBox", this.home.join(" "));
    this.bar.style.width = `${Math.min(100, (100 * this.lost.end) / this.lost.speed)}%`;
    this.told.textContent = this.final;
  }

  /// Rear and front of the car and the foot of the pole, mm.
  reach(t) {
    const body = pose(this.replay.tracks.get("vehicle"), t);
    const v = this.replay.scene.vehicle;
    const at = (x) => this.flat(placed(body, [x, 0, 0]))[0];
    const ends = [at(v.cg_to_front_m - v.length_m), at(v.cg_to_front_m), this.flat(pose(this.plate, t).p)[0]];
    return [Math.min(...ends), Math.max(...ends)];
  }
}

/// Car and pole as seen from the side, cut on the pole's axis.
class Road {
  constructor(panel, near) {
    this.panel = panel;
    const shape = (fill, stroke = INK) => svg("polygon", { fill, stroke, "stroke-width": 1.4, "vector-effect": "non-scaling-stroke", "stroke-linejoin": "round" });
    this.pole = shape(SKY, NAVY);
    this.car = shape(BODY);
    this.glass = shape(GLASS, "none");
    this.wheels = [0, 1].map(() => svg("circle", { r: MM * panel.replay.scene.vehicle.wheel_radius_m, fill: RUBBER }));
    this.behind = svg("g", { class: "road" }, this.pole);
    this.before = svg("g", { class: "road" }, this.car, this.glass, ...this.wheels);
    if (!near) this.pole.setAttribute("fill", RUST);
    else panel.svg.querySelector(".shaft")?.setAttribute("visibility", "hidden");
  }

  draw(t) {
    const { panel } = this;
    const { replay } = panel;
    const points = (list) => list.map((p) => `${p[0].toFixed(0)},${p[1].toFixed(0)}`).join(" ");
    const axis = present(replay.tracks.get("pole_axis"), t) ? line(replay.tracks.get("pole_axis"), t) : null;
    const spine = (axis ?? []).map((p) => panel.flat(p));
    const radii = replay.scene.pole.radii_m;
    const side = (k) => spine.map((p, i) => {
      const a = spine[Math.max(0, i - 1)];
      const b = spine[Math.min(spine.length - 1, i + 1)];
      const size = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
      const r = k * MM * (radii[i] ?? 0.05);
      return [p[0] - (r * (b[1] - a[1])) / size, p[1] + (r * (b[0] - a[0])) / size];
    });
    this.pole.setAttribute("points", points([...side(1), ...side(-1).reverse()]));
    const v = replay.scene.vehicle;
    const body = pose(replay.tracks.get("vehicle"), t);
    const at = ([x, z]) => panel.flat(placed(body, [v.cg_to_front_m - x, 0, z - v.cg_height_m]));
    const crushed = v.face === "front" ? Math.max(0, ...(sample(replay.tracks.get("crush"), t) ?? [0])) : 0;
    // Cut on the pole's axis: there the front is pushed in.
    this.car.setAttribute("points", points(v.side_view.map(([x, z]) => at([z < 1 ? Math.max(x, crushed) : x, z]))));
    this.glass.setAttribute("points", points((v.windows?.side ?? []).map(at)));
    [v.cg_to_front_m - v.cg_to_front_axle_m, v.cg_to_front_m - v.cg_to_front_axle_m + v.wheelbase_m].forEach((x, i) => {
      const [cx, cy] = at([x, v.wheel_radius_m]);
      this.wheels[i].setAttribute("cx", cx.toFixed(0));
      this.wheels[i].setAttribute("cy", cy.toFixed(0));
    });
  }
}

export class Opening {
  constructor(root) {
    this.root = root;
    this.beats = [0, ...root.dataset.beats.split(" ").map(Number)];
    this.step = 0;
    this.time = 0;
    this.far = 0;
    this.playing = false;
    this.panels = null;
    root.opening = this;
  }

  /// Reads the replays and makes the layers when the case is first looked at.
  make() {
    if (this.panels) return;
    this.panels = [...this.root.querySelectorAll(".panel")].map((p) => new Panel(p));
    this.beats[2] = Math.min(this.beats[2], this.seen());
    const ends = [0, this.beats[2], this.beats[3]].flatMap((t) => this.panels.map((p) => p.reach(t)));
    this.wide = [Math.min(...ends.map((e) => e[0])) - 350, Math.max(...ends.map((e) => e[1])) + 350];
    if (typeof ResizeObserver === "function") new ResizeObserver(() => this.draw()).observe(this.root);
    this.draw();
  }

  /// When the second beat can end: the first plate that comes free has gone a hand's breadth, and what stands in the way is met.
  seen() {
    let first = Infinity;
    let met = 0;
    for (const p of this.panels) {
      if (p.root.dataset.ended === "free") first = Math.min(first, p.gone(SEEN_MM));
      else if (p.svg.querySelector(".stop")) met = Math.max(met, p.met + 0.003);
    }
    return Math.max(first, met, this.beats[1] + 0.004);
  }

  get ready() {
    return !!this.panels;
  }

  /// The next beat; false after the last one. A beat that plays is brought to its end.
  next() {
    this.make();
    if (this.playing) this.finish();
    else if (this.step < this.beats.length - 1) this.play(this.step + 1);
    else return false;
    return true;
  }

  /// To the end of the beat before; false at the beginning.
  back() {
    if (this.step === 0) return false;
    this.to(this.step - 1);
    return true;
  }

  /// At the end of a beat.
  to(step) {
    this.make();
    this.stop();
    this.step = step;
    this.time = this.beats[step];
    this.far = step >= 3 ? 1 : 0;
    this.draw();
  }

  play(step) {
    this.stop();
    this.step = step;
    this.playing = true;
    const [from, to] = [this.beats[step - 1], this.beats[step]];
    let wall = 0;
    let last = performance.now();
    const run = (now) => {
      if (!this.playing) return;
      wall += Math.min(0.1, Math.max(0, (now - last) / 1000));
      last = now;
      const share = Math.min(1, wall / WALL_S[step]);
      // The last beat begins slowly, for the picture draws back meanwhile.
      this.time = from + (to - from) * (step === 3 ? share ** 1.7 : share);
      this.far = step < 3 ? 0 : smooth(Math.min(1, wall / BACK_S));
      if (share >= 1) this.playing = false;
      this.draw();
      if (this.playing) this.frame = requestAnimationFrame(run);
    };
    this.frame = requestAnimationFrame(run);
    this.draw();
  }

  finish() {
    this.to(this.step);
  }

  stop() {
    this.playing = false;
    cancelAnimationFrame(this.frame);
  }

  draw() {
    if (!this.panels) return;
    this.root.dataset.step = this.step;
    for (const p of this.panels) {
      p.svg.setAttribute("viewBox", this.frameOf(p).map((v) => v.toFixed(1)).join(" "));
      p.draw(this.time, this.step, this.far);
      p.root.querySelectorAll(".beats li").forEach((li, i) => li.classList.toggle("now", i + 1 === this.step));
    }
    this.root.dispatchEvent(new CustomEvent("opening-step", { bubbles: true }));
  }

  /// On paper: the section at first touch, the bars at their end.
  paper(on) {
    if (on) this.to(0);
    for (const p of this.panels) p.paper(on);
  }

  /// What a panel shows: the section, or both cars, or between them. It fills the panel.
  frameOf(p) {
    const box = p.svg.getBoundingClientRect();
    const aspect = box.width > 10 && box.height > 10 ? box.width / box.height : p.home[2] / p.home[3];
    let [x, y, w, h] = p.home;
    if (w / h < aspect) {
      x -= 0.58 * (h * aspect - w);
      w = h * aspect;
    } else {
      y -= 0.5 * (w / aspect - h);
      h = w / aspect;
    }
    if (this.far === 0) return [x, y, w, h];
    const wide = this.wide[1] - this.wide[0];
    const end = [this.wide[0], 0.12 * (wide / aspect) - wide / aspect, wide, wide / aspect];
    const now = w * (wide / w) ** this.far;
    const k = (now - w) / (wide - w);
    return [x + k * (end[0] - x), y + k * (end[1] - y), now, now / aspect];
  }

  /// Where things are, for tests: ended is `free` or `stopped`.
  probe() {
    return this.panels.map((p) => ({
      bolt: p.bolt ? p.boltAt(this.time) : null, lost: p.told.textContent, beat: p.root.querySelector(".beats li.now")?.textContent ?? "",
      ended: p.root.dataset.ended, met: p.svg.classList.contains("met"), view: p.svg.getAttribute("viewBox").split(" ").map(Number),
    }));
  }
}

const smooth = (s) => s * s * (3 - 2 * s);
