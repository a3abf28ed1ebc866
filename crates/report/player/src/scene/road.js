// Ground: strips of the road with their marks, slope beside it, and the ground cut open at the base.
import {
  BufferAttribute, BufferGeometry, DoubleSide, Group, LineSegments, Mesh, MeshBasicMaterial, MeshLambertMaterial, PlaneGeometry,
} from "three";
import { EARTH, INK, PAPER, SLATE } from "../palette.js";
import { cylinder, edged, ink, matt, polyline, prism, stripes } from "./parts.js";
import { levels } from "../plate.js";

const BACK_M = -120;
const AHEAD_M = 160;
const SURFACES = {
  lane: "#b9bec3", "opposite-lane": "#b9bec3", footway: "#d5cfc6", "cycle-track": "#cdb9ae", verge: "#cfd3bd",
};

/// Road and land around the pole.
export function road(scene) {
  const g = new Group();
  const { site } = scene;
  const strips = site.strips ?? [];
  const low = Math.min(-6, ...strips.map((s) => s.right_m));
  const high = Math.max(6, ...strips.map((s) => s.left_m));
  const slope = site.slope_rad || 0;
  const from = site.slope_from_m;
  const side = from > 0 ? 1 : -1;
  const right = slope && side < 0 ? from : Math.min(low, -90);
  const left = slope && side > 0 ? from : Math.max(high, 90);
  g.add(flat(right, left, 0, "#d9dbcc"));
  // Seen from the side the ground has a face.
  const face = new Mesh(new PlaneGeometry(AHEAD_M - BACK_M, 8).rotateX(Math.PI / 2), new MeshBasicMaterial({ color: EARTH, side: DoubleSide }));
  face.position.set((AHEAD_M + BACK_M) / 2, right, -4);
  g.add(face);
  g.add(grid(right, left));
  if (slope) {
    const far = from + side * 25;
    const a = [from, 0];
    const b = [far, Math.tan(slope) * Math.abs(far - from)];
    const [p, q] = side > 0 ? [a, b] : [b, a];
    g.add(tilted(p, q, "#c9ccb6"));
    g.add(polyline([[BACK_M, from, 0.004], [AHEAD_M, from, 0.004]], ink(SLATE, 0.6)));
  }
  for (const s of strips) {
    g.add(flat(s.right_m, s.left_m, 0.003, SURFACES[s.used_by] ?? EARTH));
  }
  // A line at every edge of a lane; between two lanes it is broken.
  const lanes = strips.filter((s) => s.used_by.endsWith("lane"));
  for (const s of lanes) {
    for (const y of [s.right_m, s.left_m]) {
      const inner = lanes.some((o) => o !== s && (Math.abs(o.right_m - y) < 0.05 || Math.abs(o.left_m - y) < 0.05));
      if (!inner) g.add(flat(y - 0.06, y + 0.06, 0.006, PAPER));
      else for (let x = BACK_M; x < AHEAD_M; x += 6) g.add(flat(y - 0.06, y + 0.06, 0.006, PAPER, x, x + 3));
    }
  }
  // Metre marks along the road at the pole, every 5 m a long one.
  for (let x = -20; x <= 60; x += 1) {
    const long = x % 5 === 0 ? 0.35 : 0.14;
    g.add(flat(-0.9 - long, -0.9, 0.007, SLATE, x - 0.015, x + 0.015));
  }
  return g;
}

/// Lines every 5 m, so that distances can be seen.
function grid(right, left) {
  const points = [];
  for (let x = -40; x <= 80; x += 5) points.push(x, Math.max(right, -40), 0.002, x, Math.min(left, 40), 0.002);
  for (let y = -40; y <= 40; y += 5) if (y >= right && y <= left) points.push(-40, y, 0.002, 80, y, 0.002);
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(new Float32Array(points), 3));
  return new LineSegments(geometry, ink("#bfc0aa"));
}

function flat(right, left, z, colour, x0 = BACK_M, x1 = AHEAD_M) {
  const geometry = new PlaneGeometry(x1 - x0, left - right);
  geometry.translate((x0 + x1) / 2, (left + right) / 2, z);
  const m = new Mesh(geometry, new MeshLambertMaterial({ color: colour, polygonOffset: true, polygonOffsetFactor: 1 - z * 300, polygonOffsetUnits: 1 }));
  m.receiveShadow = true;
  return m;
}

function tilted([y0, z0], [y1, z1], colour) {
  const geometry = new BufferGeometry();
  const p = [BACK_M, y0, z0, AHEAD_M, y0, z0, AHEAD_M, y1, z1, BACK_M, y1, z1];
  geometry.setAttribute("position", new BufferAttribute(new Float32Array(p), 3));
  geometry.setIndex([0, 1, 2, 0, 2, 3]);
  geometry.computeVertexNormals();
  const m = new Mesh(geometry, matt(colour, { side: DoubleSide }));
  m.receiveShadow = true;
  return m;
}

/// How far the cut through the ground lies from the pole's axis towards the viewer: at the nearest bolts.
export function cutDistance(base, towards) {
  const r = 0.5 * base.bolt_circle_m;
  const reach = base.azimuths_rad.map((a) => r * (Math.cos(a) * towards[0] + Math.sin(a) * towards[1]));
  return Math.max(0.02, Math.max(...reach));
}

/// Outline of a disc with everything beyond the cut taken away.
export function cutDisc(radius, towards, cut, n = 72) {
  const [c, s] = towards;
  const clip = Math.min(cut, radius);
  const half = Math.acos(clip / radius);
  const out = [];
  const at = Math.atan2(s, c);
  for (let i = 0; i <= n; i++) {
    const a = at + half + ((2 * Math.PI - 2 * half) * i) / n;
    out.push([radius * Math.cos(a), radius * Math.sin(a)]);
  }
  return out;
}

/// The ground cut open in front of the base, with the foundation in it.
export function openGround(scene, towards) {
  const g = new Group();
  const cut = cutDistance(scene.base, towards);
  const deep = 0.3;
  const soil = cutDisc(0.95, towards, cut + 0.004);
  const face = stripes(EARTH, "#b9ae98", 0.09, 32);
  const ground = edged(prism(soil, deep), [matt("#e4e0d5"), matt("#ffffff", { map: face })], ink(INK, 0.55), 30);
  ground.position.z = -deep;
  g.add(ground);
  const pier = cutDisc(scene.base.plate_radius_m + 0.1, towards, cut + 0.008);
  const concrete = edged(prism(pier, deep + 0.002), matt("#d4d6d4"), ink(INK, 0.8), 30);
  concrete.position.z = -deep;
  g.add(concrete);
  return g;
}

/// The stub of the anchorage under the lower plate.
export function anchorStub(scene, radius) {
  const { underLower } = levels(scene);
  const stub = edged(cylinder(radius, underLower + 0.29, 32), matt("#a39c91"), ink(INK), 40);
  stub.position.z = -0.29;
  return stub;
}
