// Words over the picture: bolts with what they do, forces, what was found. Drawn on the pane's own canvas.
import { Vector3 } from "three";
import { GROUT, INK, LIMIT, PAPER } from "./palette.js";
import { sign } from "./glyph.js";
import { STATES, WORDS, kn } from "./words.js";
import { groutLevel } from "./scene/found.js";

const FONT = '"DejaVu Sans", "Segoe UI", system-ui, sans-serif';

/// Pixels of a site place.
function project(camera, p, w, h) {
  const v = new Vector3(...p).project(camera);
  return { x: (v.x * 0.5 + 0.5) * w, y: (0.5 - v.y * 0.5) * h, hidden: v.z > 1 || v.z < -1 };
}

/// Text with a paper-coloured halo.
function halo(g, text, x, y, size, colour = INK, align = "left", weight = 600) {
  g.font = `${weight} ${size}px ${FONT}`;
  g.textAlign = align;
  g.textBaseline = "middle";
  g.lineJoin = "round";
  g.lineWidth = size * 0.3;
  g.strokeStyle = "rgba(255,255,255,0.92)";
  // Never beyond the picture's left edge.
  if (align === "right") x = Math.max(x, g.measureText(text).width + 6);
  g.strokeText(text, x, y);
  g.fillStyle = colour;
  g.fillText(text, x, y);
}

/// Tag with a leader line to a point.
function tag(g, text, point, at, size, colour, fill = PAPER) {
  g.font = `600 ${size}px ${FONT}`;
  const wide = g.measureText(text).width + size * 1.1;
  const high = size * 1.75;
  g.strokeStyle = INK;
  g.lineWidth = 1.2;
  g.beginPath();
  g.moveTo(at.x, at.y);
  g.lineTo(point.x, point.y);
  g.stroke();
  g.beginPath();
  g.arc(point.x, point.y, 3, 0, 7);
  g.fillStyle = INK;
  g.fill();
  const left = Math.min(at.x - wide / 2, 1e9);
  g.beginPath();
  g.rect(left, at.y - high / 2, wide, high);
  g.fillStyle = fill;
  g.fill();
  g.lineWidth = 1.4;
  g.strokeStyle = colour;
  g.stroke();
  g.fillStyle = colour;
  g.textAlign = "center";
  g.textBaseline = "middle";
  g.fillText(text, left + wide / 2, at.y + 0.5);
}

/// Chip of a bolt: sign, number, state.
function chip(g, now, x, y, size, w) {
  const text = `${now.number} ${STATES[now.state].word}`;
  g.font = `700 ${size}px ${FONT}`;
  const wide = g.measureText(text).width + size * 2.2;
  const high = size * 1.8;
  const left = Math.min(Math.max(4, x - wide / 2), w - wide - 4);
  g.beginPath();
  g.roundRect(left, y - high / 2, wide, high, high / 2);
  g.fillStyle = "rgba(255,255,255,0.94)";
  g.fill();
  g.lineWidth = 1.2;
  g.strokeStyle = INK;
  g.stroke();
  sign(g, now.state, left + size * 0.95, y, size * 0.46);
  g.fillStyle = INK;
  g.textAlign = "left";
  g.textBaseline = "middle";
  g.fillText(text, left + size * 1.65, y + 0.5);
}

/// Everything that is written over the close-up of the base.
export function overBase(g, run, camera, t, w, h, shown) {
  const size = Math.max(11, Math.min(16, w / 42));
  const { scene } = run.replay;
  if (scene.base.fixed) return;
  const to = (p) => project(camera, p, w, h);
  const base = scene.base;
  const states = run.states.all(t);
  const found = scene.found ?? {};
  const { headUnder, slip } = run.levels;
  // What was found, each with a leader.
  const surface = groutLevel(scene);
  const grout = run.found.anchors.find((a) => a.key === "grout");
  const y = h - size * 1.5;
  if (grout && surface > 0.001) {
    const deep = -found.grout.gap_m;
    tag(g, WORDS.grout(deep), to(grout.at), { x: w * 0.3, y }, size, INK, GROUT);
  } else if (!found.stubs?.length && !found.conduit && !found.lumps?.length && !found.soil && !base.round_washer?.missing && (found.rust ?? "none") === "none") {
    // Room is a good thing to see only where nothing else is wrong.
    const near = nearest(states);
    const p = near && to([near[0], near[1], 0.5 * headUnder]);
    if (p && headUnder > 0.001) tag(g, WORDS.room(headUnder), p, { x: w * 0.3, y }, size, INK);
  }
  const words = { stub: WORDS.stub, conduit: WORDS.conduit, lump: WORDS.lump, soil: WORDS.soil };
  const told = new Set(["grout"]);
  let n = 0;
  for (const a of run.found.anchors) {
    if (told.has(a.key)) continue;
    told.add(a.key);
    const p = to(a.at);
    const bar = (run.replay.bars ?? []).some((b) => b.sheared && (a.key === "conduit" ? b.stub === null : a.key === "stub" && b.stub !== null));
    tag(g, bar && t >= run.replay.engagement_end_s ? `${words[a.key]}: ${WORDS.sheared}` : words[a.key], p, { x: Math.min(w - size * 5, Math.max(size * 5, p.x + size * 4)), y: size * (4 + 2.2 * n++) }, size, LIMIT);
  }
  // Forces: push above, what each bolt takes beside its arrow.
  if (shown) {
    for (const l of run.arrows.labels ?? []) {
      const p = to(l.at);
      if (l.kind === "push") halo(g, `${WORDS.push} ${kn(l.force)}`, Math.max(10, p.x), Math.max(size * 1.4, p.y + size * 2.2), size * 1.1, "#8f3a00", "left", 700);
      else if (l.force > 500 && p.x > size * 5) halo(g, kn(l.force), p.x - size * 0.4, p.y, size * 0.95, LIMIT, "right", 700);
      // At the picture's edge above the arrow instead of before it.
      else if (l.force > 500) halo(g, kn(l.force), Math.max(6, p.x), p.y - size * 1.3, size * 0.95, LIMIT, "left", 700);
    }
  }
  if (shown && run.arrows.labels?.some((l) => l.kind === "bolt" && l.force > 500)) halo(g, WORDS.takes, w - 8, size * 1.1, size * 0.8, LIMIT, "right", 600);
  // Bolts: beside the nut, outward from the middle of the picture.
  const middle = to([0, 0, slip]);
  for (const s of states) {
    const gone = s.state === "gone";
    const seat = gone ? s.bolt.seat : s.at;
    const p = to([seat[0], seat[1], slip + (gone ? 0 : base.upper_plate_m + 0.06)]);
    const side = p.x < middle.x - 20 ? -1 : 1;
    chip(g, s, p.x + side * size * 5.2, p.y + (Math.abs(p.x - middle.x) < 60 ? -size * 0.4 : size * 1.6), size, w);
  }
}

/// Place of the bolt that stands nearest to the viewer, at its seat once it is gone.
function nearest(states) {
  let best = null;
  for (const s of states) {
    const p = s.state === "gone" ? s.bolt.seat : s.at;
    if (!best || p[1] - p[0] * 0.2 < best[1] - best[0] * 0.2) best = p;
  }
  return best;
}

/// A remark at the picture's upper left corner.
export function note(g, text, w, h) {
  const size = Math.max(11, Math.min(15, w / 46));
  halo(g, text, 10, Math.min(h, size * 1.5), size, INK, "left", 500);
}

/// Words over the wide views: push, scale.
export function overWide(g, run, camera, w, h, shown) {
  const size = Math.max(11, Math.min(15, w / 46));
  if (shown) {
    for (const l of run.arrows.labels ?? []) {
      if (l.kind !== "push") continue;
      const p = project(camera, l.at, w, h);
      halo(g, `${WORDS.push} ${kn(l.force)}`, Math.max(6, p.x - size * 6), p.y - size * 4.5, size, "#8f3a00", "left", 700);
    }
  }
  // Ruler: a length that fills about a fifth of the width, true in the flat views.
  if (camera.isOrthographicCamera) {
    const scale = w / (camera.right - camera.left);
    const length = [1, 2, 5, 10, 20].find((l) => l * scale > w / 9) ?? 20;
    const x = w - 14;
    const y = h - 14;
    g.fillStyle = INK;
    g.fillRect(x - length * scale, y - 2, length * scale, 4);
    halo(g, `${length} m`, x - length * scale - 6, y, size * 0.9, INK, "right");
  }
}
