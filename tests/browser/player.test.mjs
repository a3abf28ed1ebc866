// The player in a real browser, from disk, without a network.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { pathToFileURL } from "node:url";
import { launch, open } from "./browser.mjs";
import { poor } from "./contrast.mjs";
import { page } from "./page.mjs";
import { correct, grouted, replay, unfollowed } from "./sample.mjs";

const LIMIT = { timeout: 60_000 };
const folder = mkdtempSync(join(tmpdir(), "giveway-player-"));
after(() => rmSync(folder, { recursive: true, force: true }));

function write(name, html) {
  const file = join(folder, name);
  writeFileSync(file, html);
  return pathToFileURL(file).href;
}

const PAIR = page([correct(), grouted()], [{ replays: [1, 2], view: "base" }]);
const small = { viewport: { width: 760, height: 620 } };

/// Runs in the page: waits for the picture of the present time.
const settled = (p) => p.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => requestAnimationFrame(done)))));
const probe = (p) => p.evaluate(() => {
  const s = document.querySelector("section.player");
  return {
    time: s.player.time_s, playing: s.player.playing, view: s.player.view, speed: s.player.speed, runs: s.player.probe(),
    cursors: [...s.querySelectorAll(".gp-cursor")].map((c) => Number(c.getAttribute("x1"))), range: Number(s.querySelector(".gp-range").value),
    labels: [...s.querySelectorAll(".gp-picture")].map((c) => c.getAttribute("aria-label")), clock: s.querySelector(".gp-time").textContent,
  };
});
const seek = async (p, t) => {
  await p.evaluate((time) => document.querySelector("section.player").player.seek(time), t);
  await settled(p);
};

describe("with WebGL", () => {
  let browser;
  let p;
  let watched;
  before(async () => {
    browser = await launch();
    ({ page: p, watched } = await open(browser, write("pair.html", PAIR), small));
    await p.waitForFunction(() => document.querySelector("section.player")?.player?.ready, null, { timeout: 30_000 });
  }, LIMIT);
  after(() => browser?.close());

  test("draws both runs: neither picture is blank", LIMIT, async () => {
    await seek(p, 0.034);
    const colours = await p.evaluate(() => [...document.querySelectorAll(".gp-picture")].map((c) => {
      const d = c.getContext("2d").getImageData(0, 0, c.width, c.height).data;
      const seen = new Set();
      for (let i = 0; i < d.length; i += 4 * 37) seen.add((d[i] >> 3) * 1024 + (d[i + 1] >> 3) * 32 + (d[i + 2] >> 3));
      return seen.size;
    }));
    assert.equal(colours.length, 2);
    for (const n of colours) assert.ok(n > 40, `only ${n} colours`);
    assert.equal(await p.evaluate(() => document.querySelector("section.player").player.webgl), true);
    assert.equal(await p.locator("figure.still").isVisible(), false);
  });

  test("moving in time moves pole, bolts, cursors and bar", LIMIT, async () => {
    await seek(p, 0);
    const a = await probe(p);
    await seek(p, 0.06);
    const b = await probe(p);
    assert.ok(b.runs[0].foot[0] - a.runs[0].foot[0] > 0.1, "the foot of the pole has moved");
    assert.ok(Math.abs(b.runs[1].foot[0] - a.runs[1].foot[0]) < 0.02, "the grouted one has not");
    assert.deepEqual(b.runs[0].bolts, ["gone", "gone", "gone"]);
    for (const [i, x] of b.cursors.entries()) assert.ok(x - a.cursors[i] > 100, `cursor ${i} moved by ${x - a.cursors[i]}`);
    assert.ok(b.range > a.range);
    assert.equal(b.clock, "60.0 ms");
    // The bar itself, moved by hand.
    await p.locator(".gp-range").fill("300");
    await settled(p);
    assert.ok(Math.abs((await probe(p)).time - (300 / 2000 / 0.62) * 0.12) < 1e-6);
  });

  test("two runs stay in step", LIMIT, async () => {
    for (const t of [0.0123, 0.05, 0.7]) {
      await seek(p, t);
      const now = await probe(p);
      const stamp = now.labels.map((l) => /, ([\d.]+ m?s):/.exec(l)[1]);
      assert.equal(stamp[0], stamp[1]);
      assert.ok(now.cursors.every((x) => Math.abs(x - now.cursors[0]) < 1e-6));
    }
  });

  test("plays by itself, slowly in the blow, and tells the time", LIMIT, async () => {
    const seen = await p.evaluate(async () => {
      const s = document.querySelector("section.player");
      const times = [];
      s.addEventListener("player-time", (e) => times.push(e.detail.time_s));
      s.player.setSpeed("auto");
      s.player.seek(0);
      s.player.play();
      const started = performance.now();
      // A busy machine may need long for its first frames.
      for (let i = 0; i < 200 && (i < 15 || times.filter((t) => t > 0).length < 3); i++) await new Promise((r) => setTimeout(r, 100));
      s.player.pause();
      return { times, wall: (performance.now() - started) / 1000 };
    });
    const last = seen.times[seen.times.length - 1];
    assert.ok(last > 0, "time has gone on");
    assert.ok(last <= 0.0105 * seen.wall, `slow motion: ${last} s in ${seen.wall} s`);
    for (let i = 2; i < seen.times.length; i++) assert.ok(seen.times[i] >= seen.times[i - 1], "never back");
  });

  test("stops at the end and begins again", LIMIT, async () => {
    await p.evaluate(() => {
      const { player } = document.querySelector("section.player");
      player.setSpeed(1);
      player.seek(1.55);
      player.play();
    });
    await p.waitForFunction(() => !document.querySelector("section.player").player.playing, null, { timeout: 20_000 });
    assert.equal((await probe(p)).time, 1.6);
  });

  test("works from the keyboard", LIMIT, async () => {
    await seek(p, 0);
    await p.locator(".gp-picture").first().focus();
    await p.keyboard.press("ArrowRight");
    assert.ok(Math.abs((await probe(p)).time - 0.001) < 1e-9);
    await p.keyboard.press("ArrowRight");
    await p.keyboard.press("ArrowLeft");
    assert.ok(Math.abs((await probe(p)).time - 0.001) < 1e-9);
    await p.keyboard.press("End");
    assert.equal((await probe(p)).time, 1.6);
    await p.keyboard.press("ArrowLeft");
    assert.ok(Math.abs((await probe(p)).time - 1.58) < 1e-9, "steps are longer after the blow");
    await p.keyboard.press("Home");
    assert.equal((await probe(p)).time, 0);
    for (const [key, view] of [["1", "road"], ["2", "side"], ["3", "plan"], ["4", "base"]]) {
      await p.keyboard.press(key);
      assert.equal((await probe(p)).view, view);
    }
    await p.evaluate(() => document.querySelector("section.player").player.setSpeed(0.1));
    await p.keyboard.press("ArrowDown");
    assert.equal((await probe(p)).speed, 1 / 20);
    await p.keyboard.press("ArrowUp");
    assert.equal((await probe(p)).speed, 1 / 10);
    await p.keyboard.press(" ");
    assert.equal((await probe(p)).playing, true);
    await p.keyboard.press(" ");
    assert.equal((await probe(p)).playing, false);
    // Outside of the section the keys belong to the page.
    await p.evaluate(() => document.activeElement.blur());
    await p.keyboard.press("End");
    assert.ok((await probe(p)).time < 1.6);
  });

  test("a chart, a moment and the repeat move in time", LIMIT, async () => {
    await seek(p, 0);
    const chart = p.locator(".gp-chart").first();
    await chart.scrollIntoViewIfNeeded();
    const box = await chart.boundingBox();
    await p.mouse.click(box.x + box.width * 0.5, box.y + box.height * 0.5);
    // The middle of the drawing, whose axis runs from 46 to 408 of 420.
    assert.ok(Math.abs((await probe(p)).time - ((210 - 46) / 362) * 0.12) < 0.001);
    await p.locator(".gp-moments").selectOption({ index: 3 });
    assert.equal((await probe(p)).time, 0.037);
    const wrapped = await p.evaluate(async () => {
      const s = document.querySelector("section.player");
      const box = [...s.querySelectorAll(".gp-check")].find((l) => l.textContent.includes("Repeat")).querySelector("input");
      box.click();
      let back = false;
      let last = 0;
      s.addEventListener("player-time", (e) => {
        back ||= e.detail.time_s < last;
        last = e.detail.time_s;
      });
      s.player.setSpeed(0.5);
      s.player.seek(0.1);
      s.player.play();
      for (let i = 0; i < 200 && !back; i++) await new Promise((r) => setTimeout(r, 100));
      s.player.pause();
      box.click();
      return back;
    });
    assert.equal(wrapped, true);
  });

  test("every control has a name and takes the focus", LIMIT, async () => {
    const bare = await p.evaluate(() => [...document.querySelectorAll(".gp button, .gp input, .gp select, .gp canvas[tabindex]")]
      .filter((c) => !(c.getAttribute("aria-label") || c.closest("label")?.textContent.trim())).map((c) => c.outerHTML));
    assert.deepEqual(bare, []);
  });

  test("text stands out from its ground (WCAG AA)", LIMIT, async () => {
    assert.deepEqual(await poor(p, ".gp"), []);
  });

  test("no button stands alone on a line of the bar", LIMIT, async () => {
    for (const width of [700, 900, 1000, 1080, 1168, 1280, 1600]) {
      await p.setViewportSize({ width, height: 620 });
      await settled(p);
      const lines = await p.evaluate(() => {
        const tops = {};
        for (const e of document.querySelectorAll(".gp-bar button, .gp-bar label, .gp-bar fieldset")) {
          const box = e.getBoundingClientRect();
          const middle = Math.round((box.top + box.bottom) / 20);
          if (box.height > 0) (tops[middle] ??= []).push(e.className);
        }
        return Object.values(tops);
      });
      assert.ok(lines.every((l) => l.length > 1), `${width}: ${JSON.stringify(lines)}`);
    }
    await p.setViewportSize(small.viewport);
  });

  test("fits a narrow window", LIMIT, async () => {
    await p.setViewportSize({ width: 380, height: 700 });
    await settled(p);
    const [wide, inner] = await p.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    assert.ok(wide <= inner, `${wide} px in a window of ${inner} px`);
    await p.setViewportSize(small.viewport);
  });

  test("prints the still instead of the picture, on whole pages", LIMIT, async () => {
    await p.emulateMedia({ media: "print" });
    assert.equal(await p.locator("figure.still").isVisible(), true);
    assert.equal(await p.locator(".gp").isVisible(), false);
    const pdf = (await p.pdf({ format: "A4" })).toString("latin1");
    await p.emulateMedia({ media: "screen" });
    assert.equal((pdf.match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length, 1);
    assert.match(pdf, /\/MediaBox\s*\[0 0 59[45][.\d]* 84[12]/);
  });

  test("nothing failed and nothing was fetched", () => {
    assert.deepEqual(watched.errors, []);
    assert.deepEqual(watched.requests, []);
  });

  test("other bases and findings are drawn too; a broken replay spoils only its own section", LIMIT, async () => {
    const found = {
      stubs: [{ azimuth_rad: 0, projection_m: 0.025, gap_m: 0.01, diameter_m: 0.025, ultimate_pa: 4e8 }],
      conduit: { projection_m: 0.03, gap_m: 0.02, diameter_m: 0.06, wall_m: 0.003, ultimate_pa: 4e8 },
      lumps: [{ height_m: 0.004, length_m: 0.01, width_m: 0.02, ultimate_pa: 1e8, plate: "lower", bolts: [3] }],
      soil: { azimuth_rad: 0, gap_m: 0.08, height_m: 0.2, slope_rad: 0.45 },
    };
    const many = replay({ title: "Found: <b>bars</b> & \"soil\"", held: true, found, arm: false });
    const fixed = replay({ title: "A wall", held: true });
    fixed.scene.base.fixed = true;
    fixed.scene.base.bolt_count = 0;
    fixed.scene.vehicle.face = "left-side";
    fixed.tracks = fixed.tracks.filter((t) => !/^bolt|^plate/.test(t.name));
    const odd = { format: 7, tracks: [] };
    const sections = [{ replays: [1], view: "base" }, { replays: [3] }, { replays: [2], view: "side", charts: "no" }];
    const { page: q, watched: w, context } = await open(browser, write("odd.html", page([many, fixed, odd, unfollowed()], [...sections, { replays: [4], verdict: "later" }])), small);
    await q.waitForFunction(() => [...document.querySelectorAll("section.player")].filter((s) => s.player?.ready).length === 3, null, { timeout: 30_000 });
    for (const i of [0, 2, 3]) {
      await q.evaluate((n) => document.querySelectorAll("section.player")[n].player.seek(0.4), i);
      for (const v of ["road", "side", "plan", "base"]) {
        await q.evaluate(([n, name]) => document.querySelectorAll("section.player")[n].player.setView(name), [i, v]);
        await settled(q);
      }
    }
    const later = q.locator("section.player").nth(3).locator(".gp-headline");
    assert.equal(await later.isVisible(), true);
    await q.evaluate(() => document.querySelectorAll("section.player")[3].player.seek(0.05));
    await settled(q);
    assert.equal(await later.isVisible(), false, "the verdict comes after the blow");
    assert.equal(await q.locator(".gp h3").first().textContent(), many.title);
    assert.match(await q.locator(".gp-error").textContent(), /format 7/);
    assert.equal(await q.locator("section.player").nth(1).locator("figure.still").isVisible(), true);
    assert.deepEqual(w.errors, []);
    await context.close();
  });
});

describe("without WebGL", () => {
  let browser;
  before(async () => {
    browser = await launch({ webgl: false });
  }, LIMIT);
  after(() => browser?.close());

  test("the still stays, charts and numbers work", LIMIT, async () => {
    const { page: p, watched } = await open(browser, write("still.html", PAIR), small);
    await p.waitForFunction(() => document.querySelector("section.player")?.player?.ready, null, { timeout: 30_000 });
    assert.equal(await p.evaluate(() => document.querySelector("section.player").player.webgl), false);
    assert.equal(await p.locator("figure.still").isVisible(), true);
    assert.equal(await p.locator(".gp-picture").first().isVisible(), false);
    await seek(p, 0.06);
    assert.match(await p.locator(".gp-lost b").first().textContent(), /8\.3 km\/h/);
    assert.deepEqual(watched.errors, []);
    assert.deepEqual(watched.requests, []);
  });
});
