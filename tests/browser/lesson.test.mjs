// The shipped lessons in a real browser, from disk, without a network: on a projector, from the keyboard, on paper.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { fileURLToPath, pathToFileURL } from "node:url";
import { HtmlValidate } from "html-validate";
import { launch, open } from "./browser.mjs";
import { poor } from "./contrast.mjs";

const LIMIT = { timeout: 120_000 };
const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const GIVEWAY = process.env.GIVEWAY ?? join(ROOT, "target/debug/giveway");
const LESSONS = ["installers", "inspectors"];
const PAGES = ["lesson", "handout", "key"];
const PROJECTOR = { viewport: { width: 1280, height: 720 } };
const CASES = 6;

const folder = mkdtempSync(join(tmpdir(), "giveway-lesson-"));
after(() => rmSync(folder, { recursive: true, force: true }));
const file = (lesson, page) => join(folder, lesson, `${page}.html`);
const url = (lesson, page, hash = "") => pathToFileURL(file(lesson, page)).href + hash;

before(() => {
  for (const lesson of LESSONS) execFileSync(GIVEWAY, ["lesson", `scenarios/lessons/${lesson}.toml`, "--out", join(folder, lesson), "--quiet"], { cwd: ROOT });
}, LIMIT);

const settled = (p) => p.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => requestAnimationFrame(done)))));
/// Number of the case that is shown.
const shown = (p) => p.evaluate(() => {
  const seen = [...document.querySelectorAll("section.case")].filter((c) => c.offsetHeight > 0);
  return seen.length === 1 ? Number(seen[0].id.replace("case-", "")) : `${seen.length} cases`;
});
/// What the player of the shown case tells.
const probe = (p) => p.evaluate(() => {
  const s = document.querySelector("section.case.now section.player");
  const bar = s.querySelector(".gp-range");
  return { time: s.player.time_s, playing: s.player.playing, view: s.player.view, runs: s.player.probe(), bar: Number(bar.value), told: bar.getAttribute("aria-valuetext") };
});
const ready = (p) => p.waitForFunction(() => document.querySelector("section.case.now section.player")?.player?.ready, null, { timeout: 60_000 });
const pages = (pdf) => (pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;

test("every page keeps the rules of HTML and stays below 3 MB", LIMIT, async () => {
  const rules = new HtmlValidate({ extends: ["html-validate:standard", "html-validate:a11y"], rules: { "long-title": "off", "no-inline-style": "off", "require-sri": "off" } });
  for (const lesson of LESSONS) {
    for (const page of PAGES) {
      const size = statSync(file(lesson, page)).size;
      assert.ok(size < (page === "lesson" ? 3e6 : 3e5), `${lesson} ${page}: ${size} bytes`);
      const text = readFileSync(file(lesson, page), "utf8").replace(/(<script>)[^]*?(<\/script>)/g, "$1$2");
      const said = (await rules.validateString(text)).results.flatMap((r) => r.messages).map((m) => `${lesson}/${page} ${m.line}:${m.column} ${m.ruleId}: ${m.message}`);
      assert.deepEqual(said.slice(0, 5), []);
    }
  }
});

for (const lesson of LESSONS) {
  describe(lesson, () => {
    let browser;
    let p;
    let watched;
    before(async () => {
      browser = await launch();
      ({ page: p, watched } = await open(browser, url(lesson, "lesson"), PROJECTOR));
      await ready(p);
    }, LIMIT);
    after(() => browser?.close());

    test("arrow and page keys go on and back, Home and End to the ends", LIMIT, async () => {
      assert.equal(await shown(p), 1);
      for (const [key, n] of [["ArrowRight", 2], ["ArrowDown", 3], ["PageDown", 4], ["ArrowLeft", 3], ["ArrowUp", 2], ["PageUp", 1], ["ArrowLeft", 1], ["End", CASES], ["ArrowRight", CASES], ["Home", 1]]) {
        await p.keyboard.press(key);
        assert.equal(await shown(p), n, key);
        assert.equal(await p.locator("header nav a[aria-current]").textContent(), String(n));
        assert.equal(await p.evaluate(() => scrollY), 0);
      }
      assert.equal(new URL(p.url()).hash, "#case-1");
      await p.locator("header nav a").nth(4).click();
      await p.waitForFunction(() => document.querySelector("#case-5").offsetHeight > 0, null, { timeout: 5000 });
      assert.equal(await shown(p), 5);
      assert.equal(await p.evaluate(() => scrollY), 0, "a case is shown from its top");
      await p.keyboard.press("Home");
    });

    test("the whole picture, its words and the time fit on a projector", LIMIT, async () => {
      for (let n = 1; n <= CASES; n++) {
        const seen = await p.evaluate(() => {
          const now = document.querySelector("section.case.now");
          const below = (e) => e.getBoundingClientRect().bottom;
          return {
            picture: Math.max(...[...now.querySelectorAll(".gp-picture")].map(below)), top: now.querySelector(".gp-scrub").getBoundingClientRect().top,
            bottom: below(now.querySelector(".gp-scrub")), height: now.querySelector(".gp-picture").clientHeight, type: parseFloat(getComputedStyle(now.querySelector(".ask p")).fontSize),
            wide: document.documentElement.scrollWidth - innerWidth,
          };
        });
        assert.ok(seen.picture <= seen.top + 1 && seen.bottom <= 721, `case ${n}: ${JSON.stringify(seen)}`);
        assert.ok(seen.height >= 240 && seen.type >= 22 && seen.wide <= 0, `case ${n}: ${JSON.stringify(seen)}`);
        await p.keyboard.press("ArrowRight");
      }
      await p.keyboard.press("Home");
    });

    test("the replay plays; moving the bar moves the pole", LIMIT, async () => {
      await p.keyboard.press("ArrowRight");
      await ready(p);
      await p.evaluate(() => document.querySelector("section.case.now section.player").player.seek(0));
      await settled(p);
      const a = await probe(p);
      assert.equal(a.runs.length, 2, "beside the sound one");
      await p.locator("section.case.now .gp-range").fill("1000");
      await settled(p);
      const b = await probe(p);
      assert.ok(b.time > 0.01 && b.bar === 1000 && b.told !== a.told, JSON.stringify(b));
      assert.ok(b.runs[0].foot[0] - a.runs[0].foot[0] > 0.1, "the foot of the sound one has moved");
      await p.evaluate(() => document.querySelector("section.case.now section.player").player.seek(0));
      const picture = p.locator("section.case.now .gp-picture").first();
      await picture.focus();
      await p.keyboard.press(" ");
      assert.equal((await probe(p)).playing, true);
      await p.waitForFunction(() => document.querySelector("section.case.now section.player").player.time_s > 0.0005, null, { timeout: 60_000 });
      await p.keyboard.press(" ");
      const c = await probe(p);
      assert.ok(!c.playing && c.bar > 0);
      // Within the picture arrow keys step; page keys go on, and what played stops.
      await p.keyboard.press("ArrowRight");
      assert.equal(await shown(p), 2);
      await p.keyboard.press(" ");
      await p.keyboard.press("PageDown");
      assert.equal(await shown(p), 3);
      assert.equal(await p.evaluate(() => [...document.querySelectorAll("section.player")].some((s) => s.player.playing)), false);
      await p.keyboard.press("Home");
      assert.equal(await shown(p), 1, "the keys belong to the lesson again");
    });

    test("the question comes before the verdict", LIMIT, async () => {
      const seek = async (t) => {
        await p.evaluate((time) => document.querySelector("section.case.now section.player").player.seek(time), t);
        await settled(p);
      };
      const verdict = p.locator("section.case.now .gp-headline").first();
      await seek(0.02);
      assert.equal(await verdict.isVisible(), false);
      assert.equal(await p.locator("section.case.now .told").isVisible(), false);
      await seek(1.9);
      assert.equal(await verdict.isVisible(), true);
      await seek(0);
    });

    test("the keyboard reaches every control, and the focus is seen", LIMIT, async () => {
      await p.keyboard.press("End");
      await p.keyboard.press("Home");
      const seen = [];
      for (let i = 0; i < 40; i++) {
        await p.keyboard.press("Tab");
        const at = await p.evaluate(() => {
          const e = document.activeElement;
          const ring = [e, e.nextElementSibling].some((x) => x && parseFloat(getComputedStyle(x).outlineWidth) >= 2 && getComputedStyle(x).outlineStyle !== "none");
          const box = e.getBoundingClientRect();
          return { name: e.tagName === "BODY" ? "BODY" : `${e.tagName} ${e.className} ${e.textContent.slice(0, 20)}`, ring, size: box.width * box.height, last: e.textContent.includes("Next case") };
        });
        seen.push(at);
        if (at.last || at.name === "BODY") break;
      }
      const names = seen.map((s) => s.name).join("\n");
      assert.ok(seen.at(-1).last, names);
      for (const part of ["gp-play", "gp-picture", "gp-range", "SUMMARY"]) assert.ok(names.includes(part), `${part} in\n${names}`);
      assert.ok(!names.includes("gp-picture") || seen.every((s) => s.ring && s.size > 0), JSON.stringify(seen.filter((s) => !s.ring)));
      await p.locator("section.case.now summary").focus();
      await p.keyboard.press("Enter");
      assert.equal(await p.locator("section.case.now .told").isVisible(), true, "the finding");
      assert.equal(await shown(p), 1);
      await p.keyboard.press("Enter");
    });

    test("text stands out from its ground (WCAG AA) on every page", LIMIT, async () => {
      await p.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
      assert.deepEqual(await poor(p, "body"), []);
      for (const page of ["handout", "key"]) {
        const { page: q, context, watched: w } = await open(browser, url(lesson, page), PROJECTOR);
        assert.deepEqual(await poor(q, "body"), []);
        assert.deepEqual(w, { errors: [], requests: [] });
        await context.close();
      }
    });

    test("handout and key print on one sheet, the page one case a sheet", LIMIT, async () => {
      for (const [page, sheets] of [["handout", 1], ["key", 1], ["lesson", CASES]]) {
        const { page: q, context } = await open(browser, url(lesson, page), PROJECTOR);
        for (const format of ["A4", "Letter"]) assert.equal(pages(await q.pdf({ format })), sheets, `${page} on ${format}`);
        const seen = await q.evaluate(() => ({
          pictures: [...document.querySelectorAll(".cell svg")].filter((s) => s.getBoundingClientRect().height > 40).length,
          blanks: document.querySelectorAll(".cell .blank").length, rules: document.querySelectorAll(".rule").length, filled: document.querySelectorAll(".cell .filled").length,
          silent: [...document.querySelectorAll("svg[role=img]")].filter((s) => !(s.getAttribute("aria-labelledby") ?? "").split(" ").some((id) => document.getElementById(id)?.textContent.trim())).length,
        }));
        if (page !== "lesson") assert.equal(seen.pictures, CASES);
        if (page === "handout") assert.ok(seen.blanks > 10 && seen.rules === 2 * CASES, JSON.stringify(seen));
        if (page === "key") assert.ok(seen.blanks === 0 && seen.rules === 0 && seen.filled > 10, JSON.stringify(seen));
        assert.equal(seen.silent, 0);
        await context.close();
      }
    });

    test("a case can be opened by its address", LIMIT, async () => {
      const { page: q, context, watched: w } = await open(browser, url(lesson, "lesson", "#case-4"), PROJECTOR);
      assert.equal(await shown(q), 4);
      assert.equal(await q.evaluate(() => scrollY), 0);
      assert.deepEqual(w, { errors: [], requests: [] });
      await context.close();
    });

    test("no error and no request in all of this", () => assert.deepEqual(watched, { errors: [], requests: [] }));
  });

  test(`${lesson}: without WebGL every case has its still pictures`, LIMIT, async () => {
    const plain = await launch({ webgl: false });
    try {
      const { page: p, watched } = await open(plain, url(lesson, "lesson"), PROJECTOR);
      await ready(p);
      for (let n = 1; n <= CASES; n++) {
        const stills = await p.evaluate(() => [...document.querySelectorAll("section.case.now .still svg")].map((s) => {
          const drawn = s.querySelector("g, use").getBBox();
          return { high: s.getBoundingClientRect().height, wide: s.getBoundingClientRect().width, drawn: drawn.width * drawn.height };
        }));
        // The slip base and the instants, for this case and for the one beside it.
        assert.equal(stills.length, n === 1 ? 2 : 4, `case ${n}`);
        for (const s of stills) assert.ok(s.high > 150 && s.wide > 500 && s.drawn > 1e5, `case ${n}: ${JSON.stringify(s)}`);
        await p.keyboard.press("ArrowRight");
      }
      assert.deepEqual(watched, { errors: [], requests: [] });
    } finally {
      await plain.close();
    }
  });
}
