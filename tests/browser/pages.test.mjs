// The program's own pages in a real browser. GIVEWAY names the program; without it these tests are skipped.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { fileURLToPath, pathToFileURL } from "node:url";
import { launch, open } from "./browser.mjs";
import { faults } from "./markup.mjs";

const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const PROGRAM = process.env.GIVEWAY ?? join(ROOT, "target/debug/giveway");
const LIMIT = { timeout: 90_000 };

const call = (...list) => execFileSync(PROGRAM, list, { cwd: ROOT, encoding: "utf8", stdio: ["ignore", "pipe", "pipe"], timeout: 80_000 });

/// Whether the program is there and knows a command.
function knows(command) {
  if (!existsSync(PROGRAM)) return false;
  try {
    call(command, "--help");
    return true;
  } catch {
    return false;
  }
}

test("the validator finds faults", async () => {
  const list = await faults("<!doctype html><html lang=\"en\"><head><title>t</title></head><body><p id=\"a\"><div id=\"a\"></p></body></html>");
  assert.ok(list.some((l) => l.includes("no-dup-id")), list.join("\n"));
});

// Who names the program wants it tested; .ci/run does.
const wanted = process.env.GIVEWAY !== undefined || knows("report");

describe("giveway report", { skip: wanted ? false : "the program is not built" }, () => {
  let folder;
  let browser;
  const file = {};

  before(async () => {
    folder = mkdtempSync(join(tmpdir(), "giveway-pages-"));
    for (const name of ["correct", "grouted_deep"]) {
      const scenario = join(folder, `${name}.toml`);
      writeFileSync(scenario, `${readFileSync(join(ROOT, "scenarios/conditions", `${name}.toml`), "utf8")}\n[flight]\nfollow_pole = true\n`);
      call("run", scenario, "--out", join(folder, name));
      assert.ok(existsSync(join(folder, name, "replay.json")), "a run writes its replay");
    }
    file.one = join(folder, "one.html");
    file.pair = join(folder, "pair.html");
    call("report", join(folder, "correct"), "--out", file.one);
    call("report", join(folder, "correct"), join(folder, "grouted_deep"), "--out", file.pair);
    browser = await launch();
  }, LIMIT);
  after(async () => {
    await browser?.close();
    if (folder) rmSync(folder, { recursive: true, force: true });
  });

  for (const [name, runs] of [["one", 1], ["pair", 2]]) {
    test(`page of ${runs}: opens, plays, moves in time, fetches nothing`, LIMIT, async () => {
      assert.ok(statSync(file[name]).size < 3e6, "less than 3 MB");
      const { page: p, watched, context } = await open(browser, pathToFileURL(file[name]).href, { viewport: { width: 900, height: 640 } });
      await p.waitForFunction(() => document.querySelector("section.player")?.player?.ready, null, { timeout: 40_000 });
      const at = async (t) => p.evaluate(async (time) => {
        const s = document.querySelector("section.player");
        s.player.seek(time);
        await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
        return { runs: s.player.probe(), time: s.player.time_s, cursors: [...s.querySelectorAll(".gp-cursor")].map((c) => Number(c.getAttribute("x1"))) };
      }, t);
      const a = await at(0);
      const b = await at(0.05);
      assert.equal(b.runs.length, runs);
      assert.deepEqual(a.runs[0].bolts, ["clamped", "clamped", "clamped"]);
      assert.deepEqual(b.runs[0].bolts, ["gone", "gone", "gone"], "the sound base has let go after 50 ms");
      assert.ok(b.runs[0].foot[0] - a.runs[0].foot[0] > 0.05);
      assert.ok(b.cursors.every((x, i) => x > a.cursors[i]));
      if (runs === 2) {
        assert.ok(b.runs[1].bolts.includes("held"), `the grouted base holds: ${b.runs[1].bolts}`);
        assert.ok(Math.abs(b.runs[1].foot[0] - a.runs[1].foot[0]) < 0.005);
      }
      await p.locator("section.player .gp-picture").first().focus();
      await p.keyboard.press("4");
      assert.equal(await p.evaluate(() => document.querySelector("section.player").player.view), "base");
      const moved = await p.evaluate(async () => {
        const { player } = document.querySelector("section.player");
        player.seek(0);
        player.play();
        for (let i = 0; i < 200 && player.time_s === 0; i++) await new Promise((done) => setTimeout(done, 100));
        player.pause();
        return player.time_s;
      });
      assert.ok(moved > 0);
      assert.deepEqual(watched.errors, []);
      assert.deepEqual(watched.requests, []);
      await context.close();
    });

    test(`page of ${runs}: is valid HTML`, LIMIT, async () => {
      assert.deepEqual(await faults(readFileSync(file[name], "utf8")), []);
    });

    test(`page of ${runs}: prints whole pages on A4 and Letter, without the player`, LIMIT, async () => {
      const { page: p, context } = await open(browser, pathToFileURL(file[name]).href, { viewport: { width: 900, height: 640 } });
      await p.emulateMedia({ media: "print" });
      assert.equal(await p.locator(".gp").first().isVisible(), false);
      for (const format of ["A4", "Letter"]) {
        const pdf = (await p.pdf({ format })).toString("latin1");
        const pages = (pdf.match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
        assert.ok(pages >= 2 && pages < 60, `${pages} pages on ${format}`);
      }
      await context.close();
    });
  }

  test("without WebGL the page still tells the story", LIMIT, async () => {
    const plain = await launch({ webgl: false });
    try {
      const { page: p, watched } = await open(plain, pathToFileURL(file.pair).href, { viewport: { width: 900, height: 640 } });
      await p.waitForFunction(() => document.querySelector("section.player")?.player?.ready, null, { timeout: 40_000 });
      assert.equal(await p.locator("section.player .still figure").first().isVisible(), true);
      assert.deepEqual(watched.errors, []);
    } finally {
      await plain.close();
    }
  });
});
