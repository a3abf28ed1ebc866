// Pole, arms and luminaires along their computed axes.
import { BoxGeometry, DoubleSide, Group, Matrix4, Vector3 } from "three";
import { INK, STEEL, STRAW } from "../palette.js";
import { line, present } from "../decode.js";
import { edged, glaze, ink, matt, polyline } from "./parts.js";
import { Tube } from "./tube.js";

export class Pole {
  constructor(replay) {
    this.replay = replay;
    this.group = new Group();
    const scene = replay.scene;
    this.material = matt("#7b8894", { flatShading: scene.pole.sides > 2 });
    this.track = replay.tracks.get("pole_axis");
    this.tube = new Tube(scene.pole.radii_m, scene.pole.sides, this.material);
    this.group.add(this.tube.mesh);
    this.arms = scene.arms.map((arm, i) => {
      const track = replay.tracks.get(`arm${i + 1}`);
      const points = line(track, 0) ?? [];
      const count = arm.luminaire ? points.length - 1 : points.length;
      const radii = arm.radii_m.slice(0, count);
      while (radii.length < count) radii.push(radii[radii.length - 1] ?? 0.03);
      const tube = new Tube(radii, 0, this.material);
      this.group.add(tube.mesh);
      let lamp = null;
      if (arm.luminaire) {
        const l = arm.luminaire;
        lamp = edged(new BoxGeometry(l.length_m, l.width_m, l.height_m), matt(STRAW), ink(INK));
        this.group.add(lamp);
      }
      return { track, tube, lamp, count };
    });
    // Where the pole stood: a dashed line would vanish in the sky, a thin one does not.
    this.stood = polyline(line(this.track, 0), ink(STEEL, 0.35));
    this.group.add(this.stood);
  }

  /// Goes as another replay of the same pole says.
  follow(replay) {
    this.replay = replay;
    this.track = replay.tracks.get("pole_axis");
    this.arms.forEach((arm, i) => (arm.track = replay.tracks.get(`arm${i + 1}`)));
  }

  /// In the close-up the bolts behind the pole are seen through it. Where nobody computed how the pole goes on, a
  /// ghost stays where it was last known.
  setClose(on) {
    this.glazed ??= glaze("#5d6873", 0.42, { side: DoubleSide });
    this.ghost ??= glaze("#5d6873", 0.16);
    const skin = !this.known ? this.ghost : this.material;
    this.tube.mesh.material = on && this.known ? this.glazed : skin;
    for (const arm of this.arms) {
      arm.tube.mesh.material = skin;
      if (arm.lamp) arm.lamp.visible = this.known;
    }
    this.tube.mesh.castShadow = this.known;
    this.stood.visible = !on;
  }

  update(t) {
    this.known = present(this.track, t);
    this.points = line(this.track, t);
    this.tube.follow(this.points);
    for (const arm of this.arms) {
      const points = line(arm.track, t);
      if (!points) continue;
      arm.tube.follow(points.slice(0, arm.count), [0, 0, 1]);
      if (!arm.lamp) continue;
      const root = points[Math.max(0, arm.count - 2)];
      const at = points[points.length - 1];
      const x = new Vector3(at[0] - root[0], at[1] - root[1], at[2] - root[2]);
      // A lantern right at the tip: along the arm's last piece.
      if (x.length() < 1e-6) x.set(1, 0, 0);
      x.normalize();
      const foot = this.points[0];
      const tip = this.points[this.points.length - 1];
      const up = new Vector3(tip[0] - foot[0], tip[1] - foot[1], tip[2] - foot[2]).normalize();
      const y = new Vector3().crossVectors(up, x).normalize();
      const z = new Vector3().crossVectors(x, y);
      arm.lamp.position.set(...at);
      arm.lamp.quaternion.setFromRotationMatrix(new Matrix4().makeBasis(x, y, z));
    }
  }
}
