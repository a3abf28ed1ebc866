// What was found at the base: grout, anchor bars, conduit, zinc lumps, a bank behind the foot.
import { BoxGeometry, Group } from "three";
import { EARTH, GROUT, INK, LIMIT, STRAW } from "../palette.js";
import { levels, seats } from "../plate.js";
import { circle, cylinder, edged, ink, matt, prism, stripes } from "./parts.js";
import { cutDisc, cutDistance } from "./road.js";

/// Height of the grout's surface above the ground, m, or null where there is none.
export function groutLevel(scene) {
  const g = scene.found?.grout;
  if (!g) return null;
  return Math.max(0, levels(scene).headUnder - g.gap_m);
}

/// `towards`: horizontal direction to the viewer, from which the grout is cut open.
export function found(replay, towards) {
  const scene = replay.scene;
  const group = new Group();
  const anchors = []; // labels: { key, at: [x, y, z] }
  const f = scene.found ?? {};
  const { slip, underLower } = levels(scene);
  const base = scene.base;
  const surface = groutLevel(scene);
  if (surface > 0.001) {
    const g = f.grout;
    const seat = 0.5 * base.bolt_circle_m;
    const cut = cutDistance(base, towards);
    const face = stripes(GROUT, "#8a744a", 0.1, 40);
    const skin = [matt(GROUT), matt("#ffffff", { map: face })];
    const whole = !g.bolts?.length || g.bolts.length >= base.bolt_count;
    const spots = whole ? [[0, 0]] : seats(base).filter((_, i) => g.bolts.includes(i + 1));
    for (const [x, y] of spots) {
      const reach = whole ? seat + Math.min(Math.max(g.cover_m, 0.05), 0.16) : Math.min(g.cover_m, 0.08);
      const shape = whole ? cutDisc(reach, towards, cut) : circle(reach);
      const pad = edged(prism(shape, surface), skin, ink(INK), 30);
      pad.position.set(x, y, 0);
      group.add(pad);
    }
    const [c, s] = towards;
    anchors.push({ key: "grout", at: [cut * c + s * 0.24, cut * s - c * 0.24, surface * 0.5] });
  }
  for (const stub of f.stubs ?? []) {
    const r = base.plate_radius_m + stub.gap_m + 0.5 * stub.diameter_m;
    const bar = edged(cylinder(stub.diameter_m / 2, slip + stub.projection_m, 18), matt(LIMIT), ink(INK), 40);
    bar.position.set(r * Math.cos(stub.azimuth_rad), r * Math.sin(stub.azimuth_rad), 0);
    group.add(bar);
    anchors.push({ key: "stub", at: [bar.position.x, bar.position.y, slip + stub.projection_m] });
  }
  if (f.conduit) {
    const c = f.conduit;
    const pipe = edged(cylinder(c.diameter_m / 2, slip + c.projection_m + 0.1, 24), matt(LIMIT), ink(INK), 40);
    pipe.position.z = -0.1;
    group.add(pipe);
    anchors.push({ key: "conduit", at: [0, 0, slip + c.projection_m] });
  }
  for (const lump of f.lumps ?? []) lumps(group, anchors, scene, lump, slip, underLower);
  if (f.soil) {
    const s = f.soil;
    const near = base.plate_radius_m + s.gap_m;
    const long = 3;
    const rise = long * Math.tan(s.slope_rad);
    const profile = [[near, 0], [near + long, 0], [near + long, slip + s.height_m + rise], [near, slip + s.height_m]];
    const bank = edged(prism(profile, 4), matt("#ffffff", { map: stripes(EARTH, "#b9ae98", 0.09, 10) }), ink(INK), 20);
    bank.geometry.rotateX(Math.PI / 2);
    bank.geometry.translate(0, 2, 0);
    for (const c of bank.children) {
      c.geometry.rotateX(Math.PI / 2);
      c.geometry.translate(0, 2, 0);
    }
    bank.rotation.z = s.azimuth_rad;
    group.add(bank);
    anchors.push({ key: "soil", at: [near * Math.cos(s.azimuth_rad), near * Math.sin(s.azimuth_rad), slip + s.height_m] });
  }
  return { group, anchors };
}

function lumps(group, anchors, scene, lump, slip, underLower) {
  const base = scene.base;
  const beta = base.notch_half_angle_rad;
  const seat = 0.5 * base.bolt_circle_m;
  const half = 0.5 * base.notch_width_m;
  base.azimuths_rad.forEach((a, i) => {
    if (lump.bolts?.length && !lump.bolts.includes(i + 1)) return;
    const along = 0.25 * base.bolt.diameter_m + 0.5 * lump.length_m;
    const n = seat - half * Math.sin(beta) + along * Math.cos(beta);
    const t = half * Math.cos(beta) + along * Math.sin(beta);
    const box = edged(new BoxGeometry(lump.length_m, 2 * lump.height_m, lump.width_m), matt(STRAW), ink(INK));
    box.position.set(n * Math.cos(a) - t * Math.sin(a), n * Math.sin(a) + t * Math.cos(a), 0.5 * (slip + underLower));
    box.rotation.z = a + beta;
    group.add(box);
    anchors.push({ key: "lump", at: [box.position.x, box.position.y, slip] });
  });
}
