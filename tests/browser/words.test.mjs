// The words of the moving picture in both systems of units; a replay is SI.
import assert from "node:assert/strict";
import { test } from "node:test";
import { chartTitle, kmph, kn, mm, say, unit } from "../../crates/report/player/src/words.js";

const read = () => [kmph(30 / 3.6), kn(81e3), kn(20), mm(0.16), chartTitle("contact_force_n", "force"), chartTitle("foot_moment_nm", "moment")];
const TEXT = "The blow fails: 5.8 m/s as found, 75 to 180 mm of M27 at 30 km/h; 200 N.m, 3-61 m, 12 ms, -22 mm.";

test("read-outs, titles of charts and sentences speak the reader's units", () => {
  globalThis.document = { documentElement: { dataset: {} } };
  assert.deepEqual(read(), ["30.0 km/h", "81 kN", "0 kN", "160 mm", "Force between car and pole, kN", "Bending moment at the foot, kN.m"]);
  assert.equal(say(TEXT), TEXT);
  document.documentElement.dataset.units = "us";
  assert.deepEqual(read(), ["18.6 mph", "18.2 kip", "0 kip", "6.3 in", "Force between car and pole, kip", "Bending moment at the foot, kip.ft"]);
  assert.equal(say(TEXT), "The blow fails: 19 ft/s as found, 2.95 to 7.09 in of M27 at 18.6 mph; 148 lbf.ft, 3-61 m, 12 ms, -0.866 in.");
  assert.ok(Math.abs(unit("moment")[1] * 1355.8179483314 - 1) < 1e-12);
});
