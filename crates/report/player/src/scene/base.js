// The slip base: lower plate on its stub, upper plate, keeper sheet.
import { Group } from "three";
import { INK, NAVY, SKY, STONE } from "../palette.js";
import { pose, present } from "../decode.js";
import { levels, outline, seats } from "../plate.js";
import { circle, edged, glaze, ink, matt, prism } from "./parts.js";
import { anchorStub } from "./road.js";

export class Base {
  constructor(replay) {
    const scene = replay.scene;
    this.group = new Group();
    this.base = scene.base;
    if (scene.base.fixed) return;
    const { slip, apart, underLower } = levels(scene);
    this.apart = apart;
    this.track = replay.tracks.get("plate");
    const shape = outline(scene.base);
    const lower = edged(prism(shape, scene.base.lower_plate_m), matt(STONE), ink(INK), 20);
    lower.position.z = underLower;
    this.group.add(lower, anchorStub(scene, scene.pole.radii_m[0] ?? 0.1));
    if (scene.base.keeper) {
      const holes = seats(scene.base).map(([x, y]) => circle(0.52 * scene.base.bolt.diameter_m, 20, x, y));
      const thick = Math.max(scene.base.keeper.thickness_m, 0.0006);
      const sheet = edged(prism(outline(scene.base, false, -0.006), thick, holes), matt("#f4efdf"), ink(INK, 0.6), 20);
      sheet.position.z = slip + (scene.base.round_washer?.missing ? 0 : scene.base.round_washer?.thickness_m ?? 0);
      this.group.add(sheet);
    }
    const plate = prism(shape, scene.base.upper_plate_m);
    plate.translate(0, 0, apart);
    this.solid = edged(plate, matt(SKY), ink(NAVY), 20);
    this.glazed = edged(plate, glaze(SKY, 0.42), ink(NAVY), 20);
    this.upper = new Group();
    this.upper.add(this.solid, this.glazed);
    this.group.add(this.upper);
    this.setGhost(false);
  }

  /// Goes as another replay of the same base says.
  follow(replay) {
    this.track = replay.tracks.get("plate");
  }

  update(t) {
    if (!this.upper) return;
    this.upper.visible = present(this.track, t);
    const p = pose(this.track, t);
    this.upper.position.set(...p.p);
    this.upper.quaternion.set(p.q[1], p.q[2], p.q[3], p.q[0]);
  }

  /// In the close-up the upper plate is a glaze: notches and bolts are seen through it.
  setGhost(on) {
    if (!this.upper) return;
    this.solid.visible = !on;
    this.glazed.visible = on;
  }
}
