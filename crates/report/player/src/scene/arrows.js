// Force arrows: the push of the car on the pole, and what each bolt takes across the slip plane. One scale for all runs.
import { ConeGeometry, CylinderGeometry, Group, Mesh, MeshBasicMaterial, Quaternion, Vector3 } from "three";
import { LIMIT, RUST } from "../palette.js";
import { column, present, sample } from "../decode.js";
import { contact } from "../state.js";

/// Length of an arrow, m per N: in the close-up and in the wide views.
export const SCALE = { near: 0.26 / 60e3, far: 2.6 / 150e3 };
const UP = new Vector3(0, 1, 0);

class Arrow {
  /// over: drawn over everything else.
  constructor(colour, thick, over = false) {
    const skin = new MeshBasicMaterial({ color: colour, fog: false, depthTest: !over, transparent: over });
    this.group = new Group();
    this.shaft = new Mesh(new CylinderGeometry(1, 1, 1, 14).translate(0, 0.5, 0), skin);
    this.head = new Mesh(new ConeGeometry(1, 1, 18).translate(0, -0.5, 0), skin);
    this.shaft.renderOrder = this.head.renderOrder = over ? 10 : 0;
    this.group.add(this.shaft, this.head);
    this.thick = thick;
  }
  /// From its tail along a direction; shorter than its head it is only a small head.
  put(tail, dir, length) {
    this.group.visible = length > 0.4 * this.thick;
    if (!this.group.visible) return;
    const t = this.thick;
    const head = Math.min(3.4 * t, 0.75 * length);
    this.group.position.set(...tail);
    this.group.quaternion.copy(new Quaternion().setFromUnitVectors(UP, new Vector3(...dir).normalize()));
    const thin = Math.min(1, length / (4 * t));
    this.shaft.scale.set(t * 0.62 * thin, Math.max(1e-4, length - head), t * 0.62 * thin);
    this.head.position.set(0, length, 0);
    this.head.scale.set(1.45 * t * thin, head, 1.45 * t * thin);
  }
}

export class Arrows {
  constructor(replay, states) {
    this.follow(replay, states);
    this.group = new Group();
    this.near = new Arrow(RUST, 0.016);
    this.far = new Arrow(RUST, 0.09, true);
    this.group.add(this.near.group, this.far.group);
    this.bolts = states.list.map(() => new Arrow(LIMIT, 0.0095));
    for (const b of this.bolts) this.group.add(b.group);
  }

  /// Shows the forces of a replay.
  follow(replay, states) {
    this.replay = replay;
    this.states = states;
    this.force = replay.tracks.get("contact_force");
    this.curve = contact(replay);
  }

  /// What the car does to the pole at time t: { f: size in N, dir, at } or null.
  push(t) {
    if (!this.force || !present(this.force, t)) return null;
    const v = sample(this.force, t);
    const f = Math.hypot(v[0], v[1], v[2]);
    if (!(f > 500)) return null;
    return { f, dir: [-v[0] / f, -v[1] / f, -v[2] / f], at: [v[3], v[4], v[5]] };
  }

  update(t, close, shown, level) {
    this.group.visible = shown;
    const push = this.push(t);
    this.labels = [];
    this.near.group.visible = this.far.group.visible = false;
    if (push) {
      const arrow = close ? this.near : this.far;
      const length = push.f * (close ? SCALE.near * 0.5 : SCALE.far);
      // In the close-up the blow lies above the picture's edge: its arrow is let down to it.
      const at = close ? [push.at[0], push.at[1], Math.min(push.at[2], level)] : push.at;
      const tail = at.map((p, i) => p - push.dir[i] * (length + 0.02));
      arrow.put(tail, push.dir, length);
      // The same number as in the chart.
      this.labels.push({ at: tail, force: column(this.curve, "contact_force_n", t, push.f), kind: "push" });
    }
    const along = push ? push.dir : this.heading(t);
    const size = Math.hypot(along[0], along[1]) || 1;
    const back = [-along[0] / size, -along[1] / size, 0];
    this.bolts.forEach((arrow, i) => {
      arrow.group.visible = false;
      if (!close) return;
      const now = this.states.at(this.states.list[i], t);
      if (now.state === "gone") return;
      const b = this.replay.scene.base;
      const z = now.at[2] + b.upper_plate_m + (b.plate_washer?.thickness_m ?? 0.01) + b.bolt.nut_height_m + 0.03;
      const length = now.force * SCALE.near;
      const tail = [now.at[0], now.at[1], z];
      arrow.put(tail, back, length);
      this.labels.push({ at: [tail[0] + back[0] * length, tail[1], z], force: now.force, kind: "bolt", bolt: now });
    });
  }

  /// Direction in which the plate has moved, or that of the traffic.
  heading(t) {
    const now = column(this.states.plate, "x_m", t) - column(this.states.plate, "x_m", 0);
    const side = column(this.states.plate, "y_m", t) - column(this.states.plate, "y_m", 0);
    return Math.hypot(now, side) > 1e-4 ? [now, side, 0] : [1, 0, 0];
  }
}
