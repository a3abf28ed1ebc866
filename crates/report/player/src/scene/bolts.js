// The slip bolts with head, nut and washers; colour and stripes tell what each does now.
import { Group } from "three";
import { INK, LIMIT, NAVY, PAPER, SLATE, STRAW } from "../palette.js";
import { levels } from "../plate.js";
import { sample } from "../decode.js";
import { cylinder, edged, glaze, ink, matt, stripes } from "./parts.js";

/// Seconds of the event over which a free bolt is drawn on its way down; its fall is not computed.
const FALL_S = 0.3;

export class BoltSet {
  constructor(replay, states) {
    this.states = states;
    this.group = new Group();
    this.items = [];
    const scene = replay.scene;
    if (scene.base.fixed) return;
    this.skins = {
      clamped: matt(NAVY),
      sliding: matt(STRAW),
      held: matt("#ffffff", { map: stripes(LIMIT, PAPER, 0.22, 2) }),
      gone: glaze(SLATE, 0.35),
    };
    this.line = ink(INK);
    this.thin = ink(SLATE, 0.45);
    this.washer = matt("#8d979f");
    this.washerGone = glaze("#8d979f", 0.3);
    for (const bolt of states.list) this.items.push(this.make(scene, bolt));
  }

  make(scene, bolt) {
    const b = scene.base;
    const { slip, apart, headTop, headUnder } = levels(scene);
    const d = b.bolt.diameter_m;
    const across = (b.bolt.across_flats_m || 1.5 * d) / Math.sqrt(3);
    const pw = b.plate_washer ?? { diameter_m: 2.2 * d, thickness_m: 0.006 };
    const top = apart + b.upper_plate_m + pw.thickness_m;
    const g = new Group();
    const parts = [];
    const add = (geometry, z, kind) => {
      geometry.translate(0, 0, z - slip);
      const m = edged(geometry, kind === "washer" ? this.washer : this.skins.clamped, this.line, 35);
      g.add(m);
      parts.push({ m, kind });
    };
    const end = slip + top + b.bolt.nut_height_m + 0.3 * d;
    add(cylinder(across, b.bolt.head_height_m, 6), headUnder, "steel");
    add(cylinder(d / 2, end - headTop, 20), headTop, "steel");
    add(cylinder(across, b.bolt.nut_height_m, 6), slip + top, "steel");
    add(cylinder(pw.diameter_m / 2, pw.thickness_m, 28), headTop, "washer");
    add(cylinder(pw.diameter_m / 2, pw.thickness_m, 28), slip + apart + b.upper_plate_m, "washer");
    if (b.round_washer && !b.round_washer.missing) {
      add(cylinder(b.round_washer.diameter_m / 2, b.round_washer.thickness_m, 28), slip, "washer");
    }
    this.group.add(g);
    // How far the head reaches below the middle of the turning, and how broad the bolt is.
    return { bolt, g, parts, state: "clamped", below: slip - headUnder, round: Math.max(across, pw.diameter_m / 2) };
  }

  /// Goes as another replay of the same bolts says.
  follow(replay, states) {
    this.states = states;
    this.items.forEach((item, i) => (item.bolt = states.list[i]));
  }

  update(t) {
    for (const item of this.items) {
      const now = this.states.at(item.bolt, t);
      item.now = now;
      let [x, y, z] = now.at;
      let turnBy = 0;
      if (now.state === "gone") {
        const s = t - item.bolt.until;
        const from = sample(item.bolt.track, item.bolt.until);
        const before = sample(item.bolt.track, item.bolt.until - 0.003);
        const out = [(from[0] - before[0]) / 0.003, (from[1] - before[1]) / 0.003];
        x = from[0] + out[0] * Math.min(s, FALL_S);
        y = from[1] + out[1] * Math.min(s, FALL_S);
        turnBy = Math.min(1.4, 9 * s);
        // It comes to lie on the road and does not sink into it.
        const upright = Math.cos(turnBy) * Math.cos(0.4 * turnBy);
        const lies = item.below * upright + item.round * Math.sqrt(1 - upright * upright);
        z = Math.max(Math.min(lies, from[2]), from[2] - 4.905 * s * s);
        item.g.visible = s < FALL_S;
      } else {
        item.g.visible = true;
      }
      item.g.position.set(x, y, z);
      item.g.rotation.set(turnBy * 0.4, turnBy, 0);
      if (now.state !== item.state) {
        item.state = now.state;
        for (const { m, kind } of item.parts) {
          m.children[0].material = now.state === "gone" ? this.thin : this.line;
          if (kind === "washer") m.material = now.state === "gone" ? this.washerGone : this.washer;
          else m.material = this.skins[now.state];
        }
      }
    }
  }
}
