// Where the picture is seen from. One orbit for all panes of a section, so that runs stay comparable.
import { OrthographicCamera, PerspectiveCamera, Vector3 } from "three";
import { line, pose, present } from "../decode.js";

export const VIEWS = ["road", "side", "plan", "base"];

/// Directions from the target to the viewer: azimuth (0 = ahead of the traffic, anticlockwise), elevation, rad.
const FROM = {
  road: { azimuth: -2.12, elevation: 0.2, field: 0.5 },
  side: { azimuth: -Math.PI / 2, elevation: 0.0, flat: true },
  plan: { azimuth: -Math.PI / 2, elevation: Math.PI / 2 - 1e-3, flat: true },
  base: { azimuth: -1.3, elevation: 0.46, field: 0.36 },
};

/// Towards the viewer in the close-up of the base, horizontally: the cut faces this way.
export const CUT_TOWARDS = [0, -1];

export class Orbit {
  constructor() {
    this.reset();
  }
  reset() {
    this.azimuth = 0;
    this.elevation = 0;
    this.zoom = 1;
  }
  turn(da, de) {
    this.azimuth += da;
    this.elevation = Math.min(1.6, Math.max(-1.6, this.elevation + de));
  }
  scale(k) {
    this.zoom = Math.min(8, Math.max(0.25, this.zoom * k));
  }
  get moved() {
    return this.azimuth !== 0 || this.elevation !== 0 || this.zoom !== 1;
  }
}

/// Corners of what moves at time t: pole, arms, vehicle.
function extent(replay, t, box) {
  const grow = (p) => {
    for (let i = 0; i < 3; i++) {
      box.min[i] = Math.min(box.min[i], p[i]);
      box.max[i] = Math.max(box.max[i], p[i]);
    }
  };
  // A pole that is no longer followed leaves only its stub in the picture.
  const known = present(replay.tracks.get("pole_axis"), t);
  if (!known) for (const p of [[-0.5, -0.5, 0], [0.5, 0.5, 2]]) grow(p);
  if (known) for (const p of line(replay.tracks.get("pole_axis"), t) ?? []) grow(p);
  for (let i = 1; known && i <= replay.scene.arms.length; i++) for (const p of line(replay.tracks.get(`arm${i}`), t) ?? []) grow(p);
  const v = replay.scene.vehicle;
  const c = pose(replay.tracks.get("vehicle"), t)?.p;
  if (c) {
    const top = Math.max(...v.side_view.map((p) => p[1]));
    grow([c[0] - v.length_m + v.cg_to_front_m, c[1] - v.width_m / 2, 0]);
    grow([c[0] + v.cg_to_front_m, c[1] + v.width_m / 2, Math.max(top, c[2])]);
  }
  return box;
}

const empty = () => ({ min: [Infinity, Infinity, -0.2], max: [-Infinity, -Infinity, 0.5] });

/// What all runs of a section fill at time t, and the mean over a short time before it, so that the camera glides where
/// something leaves the picture.
export function frameOf(replays, t) {
  const out = empty();
  for (const r of replays) extent(r, t, out);
  const mean = { min: [0, 0, 0], max: [0, 0, 0] };
  const span = 0.4;
  const n = 7;
  for (let k = 0; k < n; k++) {
    const box = empty();
    for (const r of replays) extent(r, Math.max(0, t - (span * k) / (n - 1)), box);
    for (let i = 0; i < 3; i++) {
      mean.min[i] += box.min[i] / n;
      mean.max[i] += box.max[i] / n;
    }
  }
  for (let i = 0; i < 3; i++) {
    out.min[i] = Math.min(out.min[i], mean.min[i]);
    out.max[i] = Math.max(out.max[i], mean.max[i]);
  }
  return out;
}

const cameras = { bent: new PerspectiveCamera(), flat: new OrthographicCamera() };

/// Camera of a view. frame: what must be seen; aspect: width over height.
export function camera(view, orbit, frame, aspect, slip) {
  const from = FROM[view];
  const azimuth = from.azimuth + orbit.azimuth;
  const elevation = Math.min(Math.PI / 2 - 1e-3, Math.max(-0.1, from.elevation + orbit.elevation));
  const dir = new Vector3(
    Math.cos(elevation) * Math.cos(azimuth), Math.cos(elevation) * Math.sin(azimuth), Math.sin(elevation),
  );
  let target;
  let width;
  let height;
  if (view === "base") {
    const reach = frame.plate ?? 0.222;
    width = 3.35 * reach;
    height = 2.05 * reach;
    // A tall picture shows more of the pole, not more of the ground.
    const spare = Math.max(0, width / aspect - height);
    target = new Vector3(0.13 * reach, 0, slip + 0.1 * reach + 0.3 * spare);
  } else {
    const [a, b] = [frame.min, frame.max];
    target = new Vector3((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2);
    // Breadth and height of the box as seen along `dir`.
    const right = new Vector3(-Math.sin(azimuth), Math.cos(azimuth), 0);
    const up = new Vector3().crossVectors(dir, right);
    const half = [(b[0] - a[0]) / 2, (b[1] - a[1]) / 2, (b[2] - a[2]) / 2];
    const reach = (v) => Math.abs(v.x) * half[0] + Math.abs(v.y) * half[1] + Math.abs(v.z) * half[2];
    width = 2 * reach(right) * 1.08 + 0.5;
    height = 2 * reach(up) * 1.06 + 0.6;
  }
  const tall = Math.max(height, width / aspect) / orbit.zoom;
  let cam;
  if (from.flat && orbit.azimuth === 0 && orbit.elevation === 0) {
    cam = cameras.flat;
    cam.left = (-tall * aspect) / 2;
    cam.right = (tall * aspect) / 2;
    cam.top = tall / 2;
    cam.bottom = -tall / 2;
    cam.near = 0.1;
    cam.far = 400;
    cam.position.copy(target).addScaledVector(dir, 120);
  } else {
    cam = cameras.bent;
    const field = from.field ?? 0.4;
    const away = tall / 2 / Math.tan(field / 2);
    cam.fov = (field * 180) / Math.PI;
    cam.aspect = aspect;
    cam.near = Math.max(0.02, away * 0.05);
    cam.far = away * 8 + 120;
    cam.position.copy(target).addScaledVector(dir, away);
    if (cam.position.z < 0.05) cam.position.z = 0.05;
  }
  cam.up.set(0, 0, 1);
  cam.lookAt(target);
  cam.updateProjectionMatrix();
  cam.updateMatrixWorld();
  return cam;
}
