// The slip plane from above as a drawing: notches, bolts with what they do and what they take, what was found.
import { BODY, EARTH, GROUT, INK, LIMIT, NAVY, PAPER, SKY, SLATE, STEEL, STONE, STRAW } from "./palette.js";
import { placed, pose, present } from "./decode.js";
import { outline } from "./plate.js";
import { sign } from "./glyph.js";
import { SCALE } from "./scene/arrows.js";
import { groutLevel } from "./scene/found.js";
import { unit } from "./words.js";

const FONT = '"DejaVu Sans", "Segoe UI", system-ui, sans-serif';

/// Draws on a 2-D context of w x h px; run: RunScene-like { replay, states, arrows, car }.
export function plan(g, run, t, w, h, forces) {
  const { scene } = run.replay;
  const base = scene.base;
  g.clearRect(0, 0, w, h);
  g.fillStyle = PAPER;
  g.fillRect(0, 0, w, h);
  if (base.fixed) return;
  const reach = base.plate_radius_m * 1.32;
  const scale = Math.min(w / (2.5 * reach), h / (2 * reach));
  const cx = w * 0.47;
  const cy = h / 2;
  const at = ([x, y]) => [cx + scale * x, cy - scale * y];
  const shape = (points, fill, stroke, width = 1.4) => {
    g.beginPath();
    points.forEach((p, i) => (i ? g.lineTo(...at(p)) : g.moveTo(...at(p))));
    g.closePath();
    if (fill) {
      g.fillStyle = fill;
      g.fill();
    }
    if (stroke) {
      g.strokeStyle = stroke;
      g.lineWidth = width;
      g.stroke();
    }
  };
  const disc = (x, y, r, fill, stroke, width = 1.4, dash = []) => {
    g.beginPath();
    g.arc(...at([x, y]), Math.max(0, r * scale), 0, 7);
    if (fill) {
      g.fillStyle = fill;
      g.fill();
    }
    if (stroke) {
      g.setLineDash(dash);
      g.strokeStyle = stroke;
      g.lineWidth = width;
      g.stroke();
      g.setLineDash([]);
    }
  };

  grout(g, scene, base, at, disc, scale, w, h);
  const soil = scene.found?.soil;
  if (soil) {
    const near = base.plate_radius_m + soil.gap_m;
    const [c, s] = [Math.cos(soil.azimuth_rad), Math.sin(soil.azimuth_rad)];
    const p = (n, q) => [n * c - q * s, n * s + q * c];
    shape([p(near, -2), p(near, 2), p(near + 2, 2), p(near + 2, -2)], EARTH, INK);
  }
  // The car's front over the base, as a pale shape.
  g.globalAlpha = 0.3;
  shape(carOutline(run, t), BODY, null);
  g.globalAlpha = 0.8;
  shape(carOutline(run, t), null, SLATE, 1);
  g.globalAlpha = 1;

  const plate = outline(base);
  shape(plate, STONE, INK, 1.6);
  for (const [x, y] of run.states.list.map((b) => b.seat)) disc(x, y, 0.5 * base.bolt.diameter_m, PAPER, SLATE, 1, [3, 2]);
  const track = run.replay.tracks.get("plate");
  const body = pose(track, t);
  const centre = placed(body, [0, 0, 0]);
  if (present(track, t)) {
    const upper = plate.map((p) => placed(body, [p[0], p[1], 0]));
    g.globalAlpha = 0.55;
    shape(upper, SKY, null);
    g.globalAlpha = 1;
    shape(upper, null, NAVY, 2);
    disc(centre[0], centre[1], scene.pole.radii_m[0] ?? 0.1, "rgba(74,85,96,0.3)", STEEL, 1.4);
  }

  for (const stub of scene.found?.stubs ?? []) {
    const r = base.plate_radius_m + stub.gap_m + stub.diameter_m / 2;
    disc(r * Math.cos(stub.azimuth_rad), r * Math.sin(stub.azimuth_rad), stub.diameter_m / 2, LIMIT, INK);
    disc(centre[0], centre[1], base.plate_radius_m, null, SLATE, 1, [4, 3]);
  }
  const conduit = scene.found?.conduit;
  if (conduit) {
    disc(centre[0], centre[1], conduit.diameter_m / 2 + conduit.gap_m, null, SLATE, 1.2, [4, 3]);
    disc(0, 0, conduit.diameter_m / 2, LIMIT, INK);
  }
  for (const lump of scene.found?.lumps ?? []) lumps(lump, base, body, shape);
  bolts(g, run, t, base, at, scale, forces);
  // Ruler of 100 mm, or of 4 in.
  const [long, name] = unit("length")[0] === "in" ? [0.1016, "4 in"] : [0.1, "100 mm"];
  g.fillStyle = INK;
  g.fillRect(w - 10 - long * scale, h - 12, long * scale, 3);
  g.font = `500 11px ${FONT}`;
  g.textAlign = "right";
  g.textBaseline = "bottom";
  g.fillText(name, w - 10, h - 15);
}

/// Lumps on one wall of the notches, as triangles that point into the bolt's way.
function lumps(lump, base, body, shape) {
  const [cb, sb] = [Math.cos(base.notch_half_angle_rad), Math.sin(base.notch_half_angle_rad)];
  const half = 0.5 * base.notch_width_m;
  const start = 0.25 * base.bolt.diameter_m;
  // Along the wall, and out from it into the notch.
  const wall = (l, out) => [0.5 * base.bolt_circle_m - half * sb + l * cb + out * sb, half * cb + l * sb - out * cb];
  base.azimuths_rad.forEach((a, i) => {
    if (lump.bolts?.length && !lump.bolts.includes(i + 1)) return;
    const corners = [wall(start, 0), wall(start + lump.length_m / 2, lump.height_m), wall(start + lump.length_m, 0)].map(([n, t]) => {
      const p = [n * Math.cos(a) - t * Math.sin(a), n * Math.sin(a) + t * Math.cos(a), 0];
      return lump.plate === "upper" ? placed(body, p) : p;
    });
    shape(corners, STRAW, INK, 1);
  });
}

function grout(g, scene, base, at, disc, scale, w, h) {
  const level = groutLevel(scene);
  if (!level) return;
  const gr = scene.found.grout;
  const seat = 0.5 * base.bolt_circle_m;
  const whole = !gr.bolts?.length || gr.bolts.length >= base.bolt_count;
  const spots = whole
    ? [[0, 0, seat + Math.min(Math.max(gr.cover_m, 0.05), 0.16)]]
    : base.azimuths_rad.filter((_, i) => gr.bolts.includes(i + 1)).map((a) => [seat * Math.cos(a), seat * Math.sin(a), 0.08]);
  for (const [x, y, r] of spots) {
    disc(x, y, r, GROUT, null);
    g.save();
    g.beginPath();
    g.arc(...at([x, y]), r * scale, 0, 7);
    g.clip();
    g.strokeStyle = "rgba(93,104,115,0.55)";
    g.lineWidth = 1;
    g.beginPath();
    for (let o = -h; o < w + h; o += 9) {
      g.moveTo(o, h);
      g.lineTo(o + h, 0);
    }
    g.stroke();
    g.restore();
    disc(x, y, r, null, INK, 1.2);
  }
}

/// Outline of the vehicle from above with its dent, from the skin of the 3-D body at bumper height.
function carOutline(run, t) {
  const v = run.replay.scene.vehicle;
  const body = pose(run.replay.tracks.get("vehicle"), t);
  const out = [];
  const half = v.width_m / 2;
  const corner = 0.12 * v.width_m;
  const crush = run.car.crushAt(t);
  const middle = v.bands?.length ? 0.5 * (v.bands[v.bands.length >> 1].lower_m + v.bands[v.bands.length >> 1].upper_m) : 0.5;
  for (let i = 0; i <= 60; i++) {
    const y = half - (2 * half * i) / 60;
    const into = Math.max(0, Math.abs(y) - (half - corner));
    let d = corner - Math.sqrt(Math.max(0, corner * corner - into * into));
    if (v.face === "front") d = Math.max(d, run.car.pushed(crush, middle, y - run.car.offset));
    out.push([v.cg_to_front_m - d, y]);
  }
  const sides = [-half, half];
  for (const side of sides) {
    const n = 60;
    for (let i = 0; i <= n; i++) {
      const share = side < 0 ? i / n : 1 - i / n;
      const x = v.cg_to_front_m - corner - (v.length_m - 2 * corner) * share;
      const hit = (v.face === "left-side" && side > 0) || (v.face === "right-side" && side < 0);
      const depth = hit ? run.car.pushed(crush, middle, x - run.car.offset) : 0;
      out.push([x, side - Math.sign(side) * depth]);
    }
  }
  return out.map(([x, y]) => placed(body, [x, y, 0]));
}

function bolts(g, run, t, base, at, scale, forces) {
  const r = Math.max(8, 0.62 * base.bolt.diameter_m * scale);
  const push = run.arrows.push(t);
  const along = push ? push.dir : run.arrows.heading(t);
  const size = Math.hypot(along[0], along[1]) || 1;
  const back = [-along[0] / size, -along[1] / size];
  for (const s of run.states.all(t)) {
    const p = at(s.state === "gone" ? s.bolt.seat : s.at);
    const out = Math.atan2(s.bolt.seat[1], s.bolt.seat[0]);
    if (forces && s.force > 500 && s.state !== "gone") arrow(g, p, back, s.force * SCALE.near * scale, r);
    sign(g, s.state, p[0], p[1], r * 0.8);
    g.font = `700 ${Math.max(12, r * 1.25)}px ${FONT}`;
    g.fillStyle = INK;
    g.textAlign = "center";
    g.textBaseline = "middle";
    const seat = at(s.bolt.seat);
    g.lineWidth = 4;
    g.lineJoin = "round";
    g.strokeStyle = "rgba(255,255,255,0.85)";
    g.strokeText(String(s.number), seat[0] + Math.cos(out) * r * 2.3, seat[1] - Math.sin(out) * r * 2.3);
    g.fillText(String(s.number), seat[0] + Math.cos(out) * r * 2.3, seat[1] - Math.sin(out) * r * 2.3);
  }
}

function arrow(g, from, dir, length, r) {
  const tip = [from[0] + dir[0] * length, from[1] - dir[1] * length];
  const head = Math.min(12, length * 0.6);
  const u = [dir[0], -dir[1]];
  g.strokeStyle = LIMIT;
  g.fillStyle = LIMIT;
  g.lineWidth = Math.max(3, r * 0.4);
  g.beginPath();
  g.moveTo(...from);
  g.lineTo(tip[0] - u[0] * head * 0.8, tip[1] - u[1] * head * 0.8);
  g.stroke();
  g.beginPath();
  g.moveTo(...tip);
  g.lineTo(tip[0] - u[0] * head - u[1] * head * 0.5, tip[1] - u[1] * head + u[0] * head * 0.5);
  g.lineTo(tip[0] - u[0] * head + u[1] * head * 0.5, tip[1] - u[1] * head - u[0] * head * 0.5);
  g.fill();
}
