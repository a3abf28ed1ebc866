// A player that shows other replays in the place of its own: clock, view and turning stay, nothing is left behind.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { pathToFileURL } from "node:url";
import { launch, open } from "./browser.mjs";
import { page } from "./page.mjs";
import { correct, grouted, replay } from "./sample.mjs";

const LIMIT = { timeout: 60_000 };
const folder = mkdtempSync(join(tmpdir(), "giveway-show-"));
after(() => rmSync(folder, { recursive: true, force: true }));

describe("other replays in the place of the first", () => {
  let browser;
  let p;
  let watched;
  before(async () => {
    const file = join(folder, "page.html");
    writeFileSync(file, page([correct()], [{ replays: [1], view: "side" }]));
    browser = await launch();
    ({ page: p, watched } = await open(browser, pathToFileURL(file).href, { viewport: { width: 760, height: 620 } }));
    await p.waitForFunction(() => document.querySelector("section.player")?.player?.ready, null, { timeout: 30_000 });
  }, LIMIT);
  after(() => browser?.close());

  /// Shows these and waits until they are drawn; what the player then tells.
  const show = (...replays) => p.evaluate(async (list) => {
    const section = document.querySelector("section.player");
    const drawn = new Promise((done) => section.addEventListener("player-drawn", done, { once: true }));
    section.player.show(...list);
    await drawn;
    const { time_s, end_s, view, speed, playing } = section.player;
    return {
      time_s, end_s, view, speed, playing, runs: section.player.probe(), titles: [...section.querySelectorAll(".gp-pane h3")].map((h) => h.textContent),
      bars: section.querySelectorAll(".gp-bar, .gp-scrub, .gp-charts").length, repeat: section.querySelectorAll(".gp-check input")[1].checked,
    };
  }, replays);

  test("time, speed, view and the choice to repeat stay; title, verdict and bolts are the other's", LIMIT, async () => {
    await p.evaluate(() => {
      const { player } = document.querySelector("section.player");
      player.seek(0.034);
      player.setSpeed(0.1);
    });
    await p.locator(".gp-check input").nth(1).check();
    const shown = await show(grouted());
    assert.deepEqual([shown.time_s, shown.view, shown.speed, shown.playing, shown.repeat], [0.034, "side", 0.1, false, true]);
    assert.deepEqual(shown.titles, ["28 mm of grout at every bolt head"]);
    assert.deepEqual(shown.runs[0].bolts, ["held", "clamped", "held"]);
    assert.equal(shown.bars, 3);
  });

  test("two stand beside each other, and one again", LIMIT, async () => {
    const two = await show(correct(), grouted());
    assert.deepEqual(two.titles, ["ABase as it should be", "B28 mm of grout at every bolt head"]);
    const one = await show(correct());
    assert.deepEqual(one.titles, ["Base as it should be"]);
    assert.equal(one.runs.length, 1);
  });

  test("a shorter replay ends the clock earlier", LIMIT, async () => {
    await p.evaluate(() => document.querySelector("section.player").player.seek(1.5));
    const shown = await show(replay({ title: "short", end: 0.8 }));
    assert.deepEqual([shown.time_s, shown.end_s], [0.8, 0.8]);
  });

  test("what is no replay is refused and what was shown stays", LIMIT, async () => {
    for (const bad of [{}, { format: 99 }]) {
      const said = await p.evaluate((r) => {
        try {
          document.querySelector("section.player").player.show(r);
          return "shown";
        } catch (problem) {
          return `refused: ${problem.message}`;
        }
      }, bad);
      assert.match(said, /^refused/);
    }
    assert.equal(await p.evaluate(() => document.querySelector(".gp-pane h3").textContent), "short");
    assert.deepEqual(watched, { errors: [], requests: [] });
  });
});
