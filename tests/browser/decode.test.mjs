// Reading of replays, without a browser.
import assert from "node:assert/strict";
import { test } from "node:test";
import { column, decode, line, local, placed, pose, present, sample } from "../../crates/report/player/src/decode.js";
import { outline } from "../../crates/report/player/src/plate.js";
import { Bolts } from "../../crates/report/player/src/state.js";
import { shareOf, timeOf } from "../../crates/report/player/src/ui/scrub.js";
import { correct, grouted } from "./sample.mjs";

const near = (a, b, within) => assert.ok(Math.abs(a - b) <= within, `${a} is not ${b} within ${within}`);

test("delta codes become times and values", () => {
  const r = decode({
    format: 1, tick_s: 1e-5,
    tracks: [{ name: "a", kind: "curve", columns: ["v"], scale: [0.5], from_s: 0, until_s: 0.5, times: [0, 1000, 3000], values: [[2, 4, -10]] }],
  });
  const a = r.tracks.get("a");
  assert.deepEqual([...a.times].map((t) => Math.round(1e5 * t)), [0, 1000, 4000]);
  assert.deepEqual([...a.values[0]], [1, 3, -2]);
  // Half way between 10 ms (3) and 40 ms (-2); held before the first and after the last sample.
  near(column(a, "v", 0.025), 0.5, 1e-12);
  assert.deepEqual(sample(a, -1), [1]);
  assert.deepEqual(sample(a, 9), [-2]);
  assert.equal(present(a, 0.49), true);
  assert.equal(present(a, 0.5), false);
});

test("a foreign format is refused", () => {
  assert.throws(() => decode({ format: 2, tracks: [] }), /format 2/);
});

test("poses turn as quaternions do", () => {
  // A quarter turn about z takes x to y.
  const body = { p: [1, 2, 3], q: [Math.SQRT1_2, 0, 0, Math.SQRT1_2] };
  const p = placed(body, [1, 0, 0]);
  [1, 3, 3].forEach((v, i) => near(p[i], v, 1e-12));
  const back = local(body, p);
  [1, 0, 0].forEach((v, i) => near(back[i], v, 1e-12));
  const r = decode(correct());
  near(Math.hypot(...pose(r.tracks.get("plate"), 0.7).q), 1, 1e-12);
});

test("the pole keeps its length and its foot stands on the plate", () => {
  const r = decode(correct());
  const axis = line(r.tracks.get("pole_axis"), 0);
  near(axis[10][2] - axis[0][2], 12, 1e-3);
  near(axis[0][2], 0.075, 1e-3);
});

test("bolts are told by what they do now", () => {
  const good = new Bolts(decode(correct()));
  assert.deepEqual(good.all(0).map((b) => b.state), ["clamped", "clamped", "clamped"]);
  assert.deepEqual(good.all(0.034).map((b) => b.state), ["sliding", "sliding", "sliding"]);
  assert.deepEqual(good.all(0.039).map((b) => b.state), ["sliding", "gone", "gone"]);
  assert.deepEqual(good.all(1).map((b) => b.state), ["gone", "gone", "gone"]);
  const bad = new Bolts(decode(grouted()));
  assert.deepEqual(bad.all(1).map((b) => b.state), ["held", "held", "held"]);
  assert.ok(bad.all(0.034).some((b) => b.state === "held"));
});

test("the plate's outline has a notch at every bolt", () => {
  const base = correct().scene.base;
  const points = outline(base);
  const seat = base.bolt_circle_m / 2;
  for (const a of base.azimuths_rad) {
    // The floor of the notch lies half a bolt's clearance inside the seat.
    const floor = points.some(([x, y]) => Math.hypot(x - (seat - base.notch_width_m / 2) * Math.cos(a), y - (seat - base.notch_width_m / 2) * Math.sin(a)) < 1e-6);
    assert.ok(floor, `no notch at ${a}`);
  }
  const area = points.reduce((sum, [x, y], i) => {
    const [u, v] = points[(i + 1) % points.length];
    return sum + 0.5 * (x * v - u * y);
  }, 0);
  // Anticlockwise, and of the size of a triangle with cut corners.
  assert.ok(area > 0.05 && area < 0.12, String(area));
});

test("the bar of time maps both ways", () => {
  for (const t of [0, 0.03, 0.12, 0.5, 1.6]) near(timeOf(shareOf(t, 0.12, 1.6), 0.12, 1.6), t, 1e-12);
  assert.equal(shareOf(1.6, 0.12, 1.6), 1);
});
