// The vehicle: its side view extruded over its width, windows, wheels, and the dent that the pole leaves.
import {
  BufferAttribute, BufferGeometry, DoubleSide, Group, LineLoop, LineSegments, Mesh, MeshBasicMaterial, Plane, ShapeUtils, Vector2, Vector3,
} from "three";
import { BODY, GLASS, INK, RUBBER, STEEL } from "../palette.js";
import { local, pose, sample, line } from "../decode.js";
import { cylinder, edged, glaze, ink, matt } from "./parts.js";

const STEP_M = 0.055;
/// What lies beyond the plane y = 0 stays.
const CUT = new Plane(new Vector3(0, 1, 0), 0);

export class Car {
  constructor(replay) {
    this.replay = replay;
    this.v = replay.scene.vehicle;
    this.track = replay.tracks.get("vehicle");
    this.crush = replay.tracks.get("crush");
    this.group = new Group();
    this.shell = new Group();
    this.group.add(this.shell);
    this.wheels = [];
    this.offset = this.whereStruck();
    this.top = Math.max(...this.v.side_view.map((p) => p[1]));
    this.materials = {
      body: matt(BODY, { side: DoubleSide, flatShading: true }),
      glass: matt(GLASS, { side: DoubleSide, flatShading: true }),
      line: ink(INK),
    };
    this.build();
    if (!this.v.guided) this.addWheels();
    this.last = "";
  }

  /// Goes as another replay of the same vehicle and pole says.
  follow(replay) {
    this.replay = replay;
    this.track = replay.tracks.get("vehicle");
    this.crush = replay.tracks.get("crush");
  }

  /// Where the pole meets the face, in vehicle axes: left of the middle (front) or ahead of it (sides), m.
  whereStruck() {
    const body = pose(this.track, 0);
    const axis = line(this.replay.tracks.get("pole_axis"), 0);
    const p = local(body, [axis[0][0], axis[0][1], body.p[2]]);
    return this.v.face === "front" ? p[1] : p[0];
  }

  halfWidth(h) {
    const half = 0.5 * this.v.width_m;
    const waist = this.v.windows?.waist_m;
    if (!waist || h <= waist) return half;
    const roof = 0.5 * Math.min(this.v.roof_width_m || 0.8 * this.v.width_m, this.v.width_m);
    return half + (roof - half) * Math.min(1, (h - waist) / Math.max(0.05, this.top - waist));
  }

  /// Contour with points every few centimetres; the waist and all corners are among them.
  contour() {
    const view = this.v.side_view;
    const waist = this.v.windows?.waist_m ?? Infinity;
    const out = [];
    for (let i = 0; i < view.length; i++) {
      const a = view[i];
      const b = view[(i + 1) % view.length];
      const cuts = [0];
      if ((a[1] - waist) * (b[1] - waist) < 0) cuts.push((waist - a[1]) / (b[1] - a[1]));
      cuts.push(1);
      for (let c = 0; c + 1 < cuts.length; c++) {
        const long = Math.hypot(b[0] - a[0], b[1] - a[1]) * (cuts[c + 1] - cuts[c]);
        const n = Math.max(1, Math.ceil(long / STEP_M));
        for (let k = 0; k < n; k++) {
          const s = cuts[c] + ((cuts[c + 1] - cuts[c]) * k) / n;
          out.push([a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])]);
        }
      }
    }
    return out;
  }

  /// Whether the skin at this place of the contour is glass.
  isGlass(d, h) {
    const w = this.v.windows;
    if (!w || h < w.waist_m - 1e-6) return false;
    const screen = d > w.glass[0] && d < w.roof[0] - 0.02;
    const rear = d > w.roof[1] + 0.02 && d < Math.min(w.glass[1], w.roof[1] + 0.75);
    return screen || rear;
  }

  build() {
    const loop = this.contour();
    const half = 0.5 * this.v.width_m;
    const n = Math.max(8, Math.ceil((2 * half) / STEP_M));
    const rows = loop.length;
    this.rest = []; // [behind, share of half width, height]
    for (const [d, h] of loop) for (let k = 0; k <= n; k++) this.rest.push([d, -1 + (2 * k) / n, h]);
    const body = [];
    const glass = [];
    for (let i = 0; i < rows; i++) {
      const j = (i + 1) % rows;
      const middle = [0.5 * (loop[i][0] + loop[j][0]), 0.5 * (loop[i][1] + loop[j][1])];
      for (let k = 0; k < n; k++) {
        const share = Math.abs(-1 + (2 * (k + 0.5)) / n);
        const to = share < 0.88 && this.isGlass(...middle) ? glass : body;
        const a = i * (n + 1) + k;
        const b = j * (n + 1) + k;
        to.push(a, b, a + 1, a + 1, b, b + 1);
      }
    }
    this.cap(loop, -1, body, glass);
    this.cap(loop, 1, body, glass);
    this.positions = new Float32Array(3 * this.rest.length);
    const attribute = new BufferAttribute(this.positions, 3);
    this.parts = [[body, this.materials.body], [glass, this.materials.glass]].map(([index, material]) => {
      const g = new BufferGeometry();
      g.setAttribute("position", attribute);
      g.setIndex(index);
      const m = new Mesh(g, material);
      m.castShadow = true;
      m.receiveShadow = true;
      m.frustumCulled = false;
      this.shell.add(m);
      return m;
    });
    this.attribute = attribute;
    // Ink: both side contours and the edges across the upper body.
    const pairs = [];
    for (let i = 0; i < rows; i++) {
      const j = (i + 1) % rows;
      for (const k of [0, n]) pairs.push(i * (n + 1) + k, j * (n + 1) + k);
    }
    for (const p of this.v.side_view) {
      if (p[1] < 0.55 * this.top) continue;
      const i = loop.findIndex((q) => Math.hypot(q[0] - p[0], q[1] - p[1]) < 1e-6);
      if (i >= 0) for (let k = 0; k < n; k++) pairs.push(i * (n + 1) + k, i * (n + 1) + k + 1);
    }
    const g = new BufferGeometry();
    g.setAttribute("position", attribute);
    g.setIndex(pairs);
    this.lines = new LineSegments(g, this.materials.line);
    this.lines.frustumCulled = false;
    this.shell.add(this.lines);
    this.bend(null);
  }

  /// Side of the body: columns over the length, rows over the height; windows above the waist.
  cap(loop, side, body, glass) {
    const w = this.v.windows;
    const corner = 0.12 * this.v.width_m;
    const from = corner;
    const to = this.v.length_m - corner;
    const columns = Math.max(4, Math.ceil((to - from) / (1.5 * STEP_M)));
    const span = (d) => {
      let low = Infinity;
      let high = -Infinity;
      for (let i = 0; i < loop.length; i++) {
        const a = loop[i];
        const b = loop[(i + 1) % loop.length];
        if ((a[0] - d) * (b[0] - d) > 0) continue;
        const s = Math.abs(b[0] - a[0]) < 1e-9 ? 0 : (d - a[0]) / (b[0] - a[0]);
        const h = a[1] + s * (b[1] - a[1]);
        low = Math.min(low, h);
        high = Math.max(high, h);
      }
      return [low, high];
    };
    const heights = [];
    const rows = 14;
    const first = this.rest.length;
    for (let c = 0; c <= columns; c++) {
      const d = from + ((to - from) * c) / columns;
      const [low, high] = span(d);
      const break_ = w && high > w.waist_m + 0.02 ? w.waist_m + 0.03 : high;
      heights.push([d, high, break_]);
      for (let r = 0; r <= rows; r++) {
        // Ten rows to the waist, four above it.
        const h = r <= 10 ? low + ((break_ - low) * r) / 10 : break_ + ((high - break_) * (r - 10)) / 4;
        this.rest.push([d, side, h]);
      }
    }
    for (let c = 0; c < columns; c++) {
      for (let r = 0; r < rows; r++) {
        const a = first + c * (rows + 1) + r;
        const b = a + rows + 1;
        const middle = 0.5 * (heights[c][0] + heights[c + 1][0]);
        const pillar = w && Math.abs(middle - 0.5 * (w.roof[0] + w.roof[1])) < 0.05;
        const tall = heights[c][1] - heights[c][2] > 0.09 && heights[c + 1][1] - heights[c + 1][2] > 0.09;
        const inside = w && middle < Math.min(w.glass[1], w.roof[1] + 0.75) - 0.1;
        const list = r >= 10 && r < 13 && tall && inside && !pillar ? glass : body;
        list.push(a, a + 1, b, b, a + 1, b + 1);
      }
    }
  }

  addWheels() {
    const v = this.v;
    const r = v.wheel_radius_m;
    const front = v.cg_to_front_m - v.cg_to_front_axle_m;
    const tyre = cylinder(r, 0.19, 28).translate(0, 0, -0.095).rotateX(Math.PI / 2);
    const disc = cylinder(0.62 * r, 0.2, 5).translate(0, 0, -0.1).rotateX(Math.PI / 2);
    for (const behind of [front, front + v.wheelbase_m]) {
      for (const side of [-1, 1]) {
        const wheel = new Group();
        wheel.add(edged(tyre, matt(RUBBER), ink(INK), 50), edged(disc, matt(STEEL), ink(BODY), 30));
        wheel.position.set(v.cg_to_front_m - behind, side * (0.5 * v.width_m - 0.075), r - v.cg_height_m);
        this.group.add(wheel);
        this.wheels.push(wheel);
      }
    }
  }

  /// Depth to which the face is pushed at a height and a distance along the face from the pole, m behind the line.
  pushed(crush, h, along) {
    const bands = this.v.bands;
    if (!bands?.length) return 0;
    const deepest = Math.max(0, ...crush);
    if (deepest <= 1e-5) return 0;
    const lowest = bands[0].lower_m;
    const highest = bands[bands.length - 1].upper_m;
    let depth = 0;
    const at = Math.min(Math.max(h, lowest), highest);
    bands.forEach((b, i) => {
      if (crush[i] > 0 && at >= b.lower_m - 1e-6 && at <= b.upper_m + 1e-6) depth = Math.max(depth, b.setback_m + crush[i]);
    });
    // Sheet above the highest band goes back with it, less and less.
    depth *= Math.max(0, 1 - Math.max(0, h - highest) / 0.12);
    const bottom = this.poleRadius + 0.01;
    return depth * Math.min(1, Math.max(0, 1 - (Math.abs(along) - bottom) / Math.max(0.05, 0.8 * deepest)));
  }

  /// Puts every point of the skin where it belongs at a state of crush.
  bend(crush) {
    const v = this.v;
    this.poleRadius = this.replay.scene.pole.radii_m[0] ?? 0.1;
    const corner = 0.12 * v.width_m;
    const half = 0.5 * v.width_m;
    for (let i = 0; i < this.rest.length; i++) {
      const [d0, share, h] = this.rest[i];
      let y = share * this.halfWidth(h);
      const into = Math.max(0, Math.abs(share) * half - (half - corner));
      // Round corners of the plan.
      const round = corner - Math.sqrt(Math.max(0, corner * corner - into * into));
      let d = Math.min(Math.max(d0, round), v.length_m - round);
      if (crush && v.face === "front" && d < 0.5 * v.length_m) d = Math.max(d, this.pushed(crush, h, y - this.offset));
      if (crush && v.face !== "front") {
        const sign = v.face === "left-side" ? 1 : -1;
        const depth = this.pushed(crush, h, v.cg_to_front_m - d - this.offset);
        if (depth > 0 && sign * y > half - depth) y = sign * (half - depth);
      }
      this.positions[3 * i] = v.cg_to_front_m - d;
      this.positions[3 * i + 1] = y;
      this.positions[3 * i + 2] = h - v.cg_height_m;
    }
    this.attribute.needsUpdate = true;
  }

  /// Crush of the bands at time t, m.
  crushAt(t) {
    return sample(this.crush, t) ?? [];
  }

  update(t) {
    const body = pose(this.track, t);
    this.group.position.set(...body.p);
    this.group.quaternion.set(body.q[1], body.q[2], body.q[3], body.q[0]);
    const crush = sample(this.crush, t);
    this.now = crush;
    const key = crush ? crush.map((c) => c.toFixed(4)).join() : "";
    if (crush && key !== this.last) {
      this.bend(crush);
      this.last = key;
    }
    const start = pose(this.track, 0);
    const rolled = Math.hypot(body.p[0] - start.p[0], body.p[1] - start.p[1]) * (body.p[0] < start.p[0] ? -1 : 1);
    for (const w of this.wheels) w.rotation.y = rolled / this.v.wheel_radius_m;
  }

  /// In the close-up of the base the car is cut open along the plane y = 0 and its near half taken away; a car that
  /// comes at an angle is a glaze instead.
  setClose(on) {
    const [body, glass] = this.parts;
    const yaw = Math.abs(2 * Math.atan2(this.group.quaternion.z, this.group.quaternion.w));
    const cut = on && this.v.face === "front" && yaw < 0.12;
    this.closeSkins ??= {
      cut: matt("#c9dbe9", { side: DoubleSide, flatShading: true, clippingPlanes: [CUT] }),
      cutLine: ink(INK, 0.5),
      ghost: glaze(BODY, 0.17, { side: DoubleSide, flatShading: true }),
      ghostLine: ink(INK, 0.35),
    };
    const k = this.closeSkins;
    k.cutLine.clippingPlanes = [CUT];
    body.material = !on ? this.materials.body : cut ? k.cut : k.ghost;
    glass.visible = !on;
    body.castShadow = !on;
    this.lines.material = !on ? this.materials.line : cut ? k.cutLine : k.ghostLine;
    for (const w of this.wheels) w.visible = !on;
    this.section ??= this.makeSection();
    this.section.visible = cut;
    if (cut) this.drawSection();
  }

  /// The cut face: the contour with the pole's dent, hatched.
  makeSection() {
    this.loop = this.contour();
    const g = new BufferGeometry();
    g.setAttribute("position", new BufferAttribute(new Float32Array(3 * this.loop.length), 3));
    const mesh = new Mesh(g, new MeshBasicMaterial({ color: "#b4cde0", side: DoubleSide }));
    mesh.frustumCulled = false;
    const outline = new BufferGeometry();
    outline.setAttribute("position", g.attributes.position);
    const edge = new LineLoop(outline, ink(INK));
    edge.frustumCulled = false;
    mesh.add(edge);
    this.group.add(mesh);
    this.sectionKey = null;
    return mesh;
  }

  drawSection() {
    if (this.sectionKey === this.last) return;
    this.sectionKey = this.last;
    const v = this.v;
    const crush = this.now ?? [];
    const points = this.loop.map(([d, h]) => [d < 0.5 * v.length_m ? Math.max(d, this.pushed(crush, h, 0)) : d, h]);
    const p = this.section.geometry.attributes.position;
    points.forEach(([d, h], i) => p.setXYZ(i, v.cg_to_front_m - d, 0.001, h - v.cg_height_m));
    p.needsUpdate = true;
    const faces = ShapeUtils.triangulateShape(points.map(([x, y]) => new Vector2(x, y)), []);
    this.section.geometry.setIndex(faces.flat());
  }
}
