// The scene of one replay.
import { AmbientLight, Color, DirectionalLight, Fog, Group, HemisphereLight, Scene } from "three";
import { line, pose } from "../decode.js";
import { PAPER } from "../palette.js";
import { levels } from "../plate.js";
import { Arrows } from "./arrows.js";
import { Base } from "./base.js";
import { BoltSet } from "./bolts.js";
import { Car } from "./car.js";
import { found } from "./found.js";
import { Pole } from "./pole.js";
import { openGround, road } from "./road.js";
import { CUT_TOWARDS } from "./views.js";

const SKY_PALE = "#f3f7fb";

export class RunScene {
  /// from: a scene that is no longer shown; what is alike in both is taken over and not built again.
  constructor(replay, states, from = null) {
    this.replay = replay;
    this.scene = new Scene();
    this.states = states;
    const { scene } = replay;
    this.keys = {};
    const stood = [line(replay.tracks.get("pole_axis"), 0), pose(replay.tracks.get("vehicle"), 0)];
    const bolts = states.list.map((b) => [b.number, b.seat]);
    const ground = [scene.base, scene.site, scene.found, scene.pole.radii_m[0]];
    /// A part: as it was where all that it is built from is the same, else a new one.
    const part = (name, alike, make) => {
      this.keys[name] = JSON.stringify(alike);
      if (!from?.[name] || from.keys[name] !== this.keys[name]) return make();
      from[name].follow?.(replay, states);
      return from[name];
    };
    this.car = part("car", [scene.vehicle, scene.pole.radii_m[0], stood], () => new Car(replay));
    const arms = scene.arms.map((_, i) => line(replay.tracks.get(`arm${i + 1}`), 0)?.length);
    this.pole = part("pole", [scene.pole, scene.arms, arms, stood[0]], () => new Pole(replay));
    this.base = part("base", ground, () => new Base(replay));
    this.bolts = part("bolts", [ground, bolts], () => new BoltSet(replay, this.states));
    this.found = part("found", scene, () => found(replay, CUT_TOWARDS));
    this.arrows = part("arrows", bolts.length, () => new Arrows(replay, this.states));
    this.road = part("road", scene, () => road(scene));
    this.open = part("open", scene, () => openGround(scene, CUT_TOWARDS));
    this.levels = levels(scene);
    const bodies = new Group();
    bodies.add(this.car.group, this.pole.group, this.base.group, this.bolts.group, this.found.group, this.arrows.group);
    this.haze = new Fog(SKY_PALE, 45, 135);
    this.scene.add(bodies, this.road, this.open);
    this.light();
  }

  light() {
    this.scene.add(new HemisphereLight("#ffffff", "#b9b2a4", 1.9), new AmbientLight("#ffffff", 0.55));
    const sun = new DirectionalLight("#fff6e8", 1.75);
    sun.castShadow = true;
    sun.shadow.mapSize.set(1024, 1024);
    sun.shadow.bias = -0.0006;
    sun.shadow.normalBias = 0.01;
    this.sun = sun;
    this.scene.add(sun, sun.target);
  }

  /// Gives back what the graphics card holds of it.
  dispose() {
    this.scene.traverse((o) => {
      o.geometry?.dispose();
      for (const m of [o.material ?? []].flat()) {
        m.map?.dispose();
        m.dispose();
      }
      o.shadow?.dispose();
    });
  }

  /// Puts everything where it is at time t as the view needs it.
  update(t, view, forces, frame) {
    const close = view === "base";
    this.car.update(t);
    this.pole.update(t);
    this.base.update(t);
    this.bolts.update(t);
    this.car.setClose(close);
    this.pole.setClose(close);
    this.base.setGhost(close);
    this.road.visible = !close;
    this.open.visible = close;
    this.arrows.update(t, close, forces, this.levels.slip + 1.02 * this.replay.scene.base.plate_radius_m);
    this.scene.background = new Color(close ? PAPER : SKY_PALE);
    this.scene.fog = view === "road" ? this.haze : null;
    const reach = close ? 0.9 : Math.max(4, 0.6 * Math.max(frame.max[0] - frame.min[0], frame.max[2] - frame.min[2]));
    const c = close ? [0, 0, 0.1] : [(frame.min[0] + frame.max[0]) / 2, (frame.min[1] + frame.max[1]) / 2, 0];
    this.sun.target.position.set(c[0], c[1], 0);
    this.sun.position.set(c[0] - 0.6 * reach, c[1] - 0.9 * reach, 2.4 * reach + 2);
    const s = this.sun.shadow.camera;
    if (s.right !== reach) {
      s.left = s.bottom = -reach;
      s.right = s.top = reach;
      s.near = 0.05;
      s.far = 8 * reach + 20;
      s.updateProjectionMatrix();
    }
  }
}
