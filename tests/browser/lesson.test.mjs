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
/// Lessons and their cases.
const LESSONS = { installers: 9, inspectors: 6 };
const PAGES = ["lesson", "handout", "key"];
const PROJECTOR = { viewport: { width: 1280, height: 720 } };
const PHONE = { viewport: { width: 390, height: 844 } };
/// The case with grout at the heads, in both lessons.
const GROUT = 2;

const folder = mkdtempSync(join(tmpdir(), "giveway-lesson-"));
after(() => rmSync(folder, { recursive: true, force: true }));
const file = (lesson, page) => join(folder, lesson, `${page}.html`);
const url = (lesson, page, hash = "") => pathToFileURL(file(lesson, page)).href + hash;

before(() => {
  for (const lesson of Object.keys(LESSONS)) execFileSync(GIVEWAY, ["lesson", `scenarios/lessons/${lesson}.toml`, "--out", join(folder, lesson), "--quiet"], { cwd: ROOT });
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
/// Where the opening of the shown case is, and what its panels show.
const opening = (p) => p.evaluate(() => {
  const c = document.querySelector("section.case.now");
  const o = c.querySelector("div.opening").opening;
  return { step: o.step, playing: o.playing, time: o.time, panels: o.probe(), judging: c.classList.contains("judging"), answered: c.classList.contains("answered") };
});
/// One press of a key, and the beat that it starts brought to its end.
const press = async (p, key) => {
  await p.keyboard.press(key);
  await p.evaluate(() => {
    const o = document.querySelector("section.case.now div.opening").opening;
    if (o.playing) o.finish();
  });
};
const pages = (pdf) => (pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;

test("every page keeps the rules of HTML and stays below 3 MB", LIMIT, async () => {
  const rules = new HtmlValidate({ extends: ["html-validate:standard", "html-validate:a11y"], rules: { "long-title": "off", "no-inline-style": "off", "require-sri": "off" } });
  for (const lesson of Object.keys(LESSONS)) {
    for (const page of PAGES) {
      const size = statSync(file(lesson, page)).size;
      assert.ok(size < (page === "lesson" ? 3e6 : 3e5), `${lesson} ${page}: ${size} bytes`);
      const text = readFileSync(file(lesson, page), "utf8").replace(/(<script>)[^]*?(<\/script>)/g, "$1$2");
      const said = (await rules.validateString(text)).results.flatMap((r) => r.messages).map((m) => `${lesson}/${page} ${m.line}:${m.column} ${m.ruleId}: ${m.message}`);
      assert.deepEqual(said.slice(0, 5), []);
    }
  }
});

for (const [lesson, CASES] of Object.entries(LESSONS)) {
  describe(lesson, () => {
    let browser;
    let p;
    let watched;
    before(async () => {
      browser = await launch();
      ({ page: p, watched } = await open(browser, url(lesson, "lesson"), PROJECTOR));
      await ready(p);
      await p.waitForFunction(() => document.querySelector("section.case.now div.opening").opening?.ready);
    }, LIMIT);
    after(() => browser?.close());

    test("arrow keys go from case to case, Home and End to the ends", LIMIT, async () => {
      assert.equal(await shown(p), 1);
      for (const [key, n] of [["ArrowRight", 2], ["ArrowDown", 3], ["ArrowRight", 4], ["ArrowLeft", 3], ["ArrowUp", 2], ["ArrowLeft", 1], ["ArrowLeft", 1], ["End", CASES], ["ArrowRight", CASES], ["Home", 1]]) {
        await p.keyboard.press(key);
        assert.equal(await shown(p), n, key);
        assert.equal(await p.locator("header nav a[aria-current]").textContent(), String(n));
        assert.equal(await p.evaluate(() => scrollY), 0);
      }
      assert.equal(await p.evaluate(() => location.hash), "#case-1");
      await p.locator("header nav a").nth(4).click();
      await p.waitForFunction(() => document.querySelector("#case-5").offsetHeight > 0, null, { timeout: 5000 });
      assert.equal(await shown(p), 5);
      assert.equal(await p.evaluate(() => scrollY), 0, "a case is shown from its top");
      await p.keyboard.press("Home");
    });

    test("Space and Enter alone lead through record, section, beats and answer; a pointer's page keys do the same", LIMIT, async () => {
      await p.keyboard.press("Home");
      const records = lesson === "inspectors";
      let at = await opening(p);
      assert.deepEqual([at.step, at.answered, at.judging], [0, false, records]);
      if (records) {
        assert.ok(await p.locator("section.case.now .record td").count() >= 16);
        assert.equal(await p.locator("section.case.now .record .judged").first().isVisible(), false, "it is judged first");
        await p.keyboard.press(" ");
        assert.equal((await opening(p)).judging, false);
      }
      await p.keyboard.press("Enter");
      at = await opening(p);
      assert.ok(at.step === 1 && at.playing);
      await p.waitForFunction(() => document.querySelector("section.case.now div.opening").opening.time > 0.0005);
      // A second press brings a beat that plays to its end.
      await p.keyboard.press(" ");
      at = await opening(p);
      assert.ok(at.step === 1 && !at.playing && at.time > 0.002);
      await press(p, "PageDown");
      await press(p, " ");
      at = await opening(p);
      assert.deepEqual([at.step, at.answered, at.time > 0.3], [3, false, true]);
      assert.equal(await p.locator("section.case.now .told").isVisible(), false, "the question comes before the answer");
      await press(p, "Enter");
      assert.equal(await p.locator("section.case.now .told").isVisible(), true);
      assert.equal(await shown(p), 1);
      await press(p, "Backspace");
      assert.equal(await p.locator("section.case.now .told").isVisible(), false);
      await press(p, "PageUp");
      assert.equal((await opening(p)).step, 2);
      for (let i = 0; i < 3; i++) await press(p, " ");
      assert.equal(await shown(p), 2, "on to the next case");
      await p.keyboard.press("Home");
    });

    test("the two panels of the grout case end differently: one lets go, one is stopped", LIMIT, async () => {
      await p.keyboard.press("ArrowRight");
      assert.equal(await shown(p), GROUT);
      if (lesson === "inspectors") await press(p, " ");
      // Grout stands on both sides of the head.
      const sides = await p.evaluate(() => {
        const [free, held] = [...document.querySelectorAll("section.case.now svg.cut")];
        const grout = held.querySelector(".grout rect");
        const head = [...held.querySelectorAll('[data-moves="bolt"] rect')].at(-1);
        const n = (e, a) => Number(e.getAttribute(a));
        return {
          none: free.querySelector(".grout"), left: n(head, "x") - n(grout, "x"), right: n(grout, "x") + n(grout, "width") - n(head, "x") - n(head, "width"),
          over: n(head, "y") - n(grout, "y"), under: n(grout, "y") + n(grout, "height") - n(head, "y") - n(head, "height"),
        };
      });
      assert.equal(sides.none, null);
      assert.ok(sides.left > 60 && sides.right > 60 && sides.over > 5 && sides.under > 5, JSON.stringify(sides));
      await press(p, " ");
      await press(p, " ");
      let [free, held] = (await opening(p)).panels;
      assert.ok(free.bolt.x > 40 && !free.met, `the head slides: ${JSON.stringify(free)}`);
      assert.ok(Math.abs(held.bolt.x) < 3 && held.met, `the head is stopped: ${JSON.stringify(held)}`);
      assert.match(held.beat, /grout/);
      await press(p, " ");
      [free, held] = (await opening(p)).panels;
      assert.deepEqual([free.ended, held.ended], ["free", "stopped"]);
      assert.match(free.lost, /^lost \S+ of 30 km\/h$/);
      assert.equal(held.lost, "stopped and thrown back");
      assert.notEqual(free.beat, held.beat);
      assert.ok(free.view[2] > 5000 && held.view[2] === free.view[2], "the picture has drawn back, alike on both sides");
      const fall = await p.evaluate(() => {
        const { panels: [panel] } = document.querySelector("section.case.now div.opening").opening;
        const heights = Array.from({ length: 300 }, (_, i) => panel.ground - panel.boltAt(panel.bolt.until + 0.001 * i).y);
        return { lowest: Math.min(...heights), last: heights.at(-1), above: panel.ground };
      });
      assert.ok(fall.above > 40 && Math.abs(fall.last - 12) < 1e-6 && fall.lowest === fall.last, `the bolt comes to lie on the ground, 12 mm thick by half: ${JSON.stringify(fall)}`);
      const said = await p.locator("section.case.now .told").textContent();
      await press(p, " ");
      assert.ok(!/kN/.test(said) && (await p.locator("section.case.now .facts .fail").count()) >= 1, said);
      await p.keyboard.press("Home");
    });

    for (const size of [PROJECTOR.viewport, { width: 1920, height: 1080 }]) {
      test(`everything that matters is in sight at ${size.width} x ${size.height}`, LIMIT, async () => {
        await p.setViewportSize(size);
        await p.keyboard.press("Home");
        for (let n = 1; n <= CASES; n++) {
          for (let step = 0; step < 5 + (lesson === "inspectors"); step++) {
            await settled(p);
            const seen = await p.evaluate(() => {
              const now = document.querySelector("section.case.now");
              const below = (list) => Math.max(0, ...[...now.querySelectorAll(list)].filter((e) => e.offsetParent !== null || e.getClientRects().length).map((e) => e.getBoundingClientRect().bottom));
              const cut = now.querySelector("svg.cut").getBoundingClientRect();
              return {
                page: document.documentElement.scrollHeight - innerHeight, wide: document.documentElement.scrollWidth - innerWidth, cut: cut.height / innerHeight,
                words: below(".panel, .told, .ask, .judge, .record"), drive: now.querySelector(".drive").getBoundingClientRect().top, bottom: below(".drive button"),
                type: parseFloat(getComputedStyle(now.querySelector(".ask")).fontSize), foot: document.querySelector("footer").getBoundingClientRect().bottom - innerHeight,
              };
            });
            const said = `case ${n}, step ${step}: ${JSON.stringify(seen)}`;
            assert.ok(seen.page <= 0 && seen.wide <= 0 && seen.foot <= 1 && seen.words <= seen.drive && seen.bottom <= size.height, said);
            assert.ok(seen.type >= size.height / 36 && (seen.cut === 0 || seen.cut > 0.2), said);
            if (step === (lesson === "inspectors" ? 1 : 0)) assert.ok(seen.cut > 0.4, `the section fills the screen; ${said}`);
            if (step < 4 + (lesson === "inspectors")) await press(p, " ");
          }
          await p.keyboard.press("ArrowRight");
        }
        await p.setViewportSize(PROJECTOR.viewport);
        await p.keyboard.press("Home");
      });
    }

    test("full screen fills the screen with the lesson", LIMIT, async () => {
      await p.keyboard.press("f");
      await p.waitForFunction(() => document.fullscreenElement === document.documentElement, null, { timeout: 5000 });
      await p.keyboard.press("f");
      await p.waitForFunction(() => !document.fullscreenElement, null, { timeout: 5000 });
    });

    test("the player is one step away, with its keys; its picture fits", LIMIT, async () => {
      await p.keyboard.press("ArrowRight");
      await p.keyboard.press("v");
      await ready(p);
      await settled(p);
      const fits = await p.evaluate(() => {
        const look = document.querySelector("section.case.now .look");
        return { look: look.scrollHeight - look.clientHeight, page: document.documentElement.scrollHeight - innerHeight, high: look.querySelector(".gp-picture").clientHeight };
      });
      assert.ok(fits.look <= 1 && fits.page <= 0 && fits.high > 220, JSON.stringify(fits));
      const a = await probe(p);
      assert.equal(a.runs.length, 2, "beside the sound one");
      await p.keyboard.press(" ");
      assert.equal((await probe(p)).playing, true);
      await p.waitForFunction(() => document.querySelector("section.case.now section.player").player.time_s > 0.0005, null, { timeout: 60_000 });
      await p.keyboard.press(" ");
      const c = await probe(p);
      assert.ok(!c.playing && c.bar > 0);
      await p.keyboard.press("ArrowRight");
      assert.equal(await shown(p), 2, "within the picture arrow keys step");
      // What the pole does to the car as it comes down is no longer counted in the blow.
      const lost = async (t) => {
        await p.evaluate((time) => document.querySelector("section.case.now section.player").player.seek(time), t);
        await settled(p);
        return (await probe(p)).runs[0].lost;
      };
      assert.equal(await lost(0.3), await lost(1.9));
      await p.keyboard.press("v");
      assert.equal(await p.locator("section.case.now .look").isVisible(), false);
      assert.equal((await opening(p)).step, 0);
      await p.keyboard.press("Home");
    });

    test("the keyboard reaches every control, and the focus is seen", LIMIT, async () => {
      await p.keyboard.press("End");
      await p.keyboard.press("Home");
      for (const [look, parts] of [[false, ["go", "around", "full"]], [true, ["gp-play", "gp-picture", "gp-range", "around"]]]) {
        if (look) await p.keyboard.press("v");
        else if (lesson === "inspectors") await press(p, " ");
        await p.locator("section.case.now h2").focus();
        const seen = [];
        for (let i = 0; i < 30; i++) {
          await p.keyboard.press("Tab");
          const at = await p.evaluate(() => {
            const e = document.activeElement;
            const ring = [e, e.nextElementSibling].some((x) => x && parseFloat(getComputedStyle(x).outlineWidth) >= 2 && getComputedStyle(x).outlineStyle !== "none");
            const box = e.getBoundingClientRect();
            return { name: e.tagName === "BODY" ? "BODY" : `${e.tagName} ${e.className}`, ring, size: box.width * box.height, last: e.classList.contains("full") };
          });
          seen.push(at);
          if (at.last || at.name === "BODY") break;
        }
        const names = seen.map((x) => x.name).join("\n");
        assert.ok(seen.at(-1).last, names);
        for (const part of parts) assert.ok(names.includes(part), `${part} in\n${names}`);
        assert.ok(seen.every((x) => x.ring && x.size > 0), JSON.stringify(seen.filter((x) => !x.ring)));
      }
      await p.keyboard.press("Escape");
      await p.locator("section.case.now .go").focus();
      await p.keyboard.press("Enter");
      assert.equal((await opening(p)).step, 1, "the button does what its words say, once");
      await p.keyboard.press("End");
      await p.keyboard.press("Home");
    });

    test("text stands out from its ground (WCAG AA) on every page", LIMIT, async () => {
      for (let i = 0; i < 6; i++) {
        assert.deepEqual(await poor(p, "body"), [], `step ${i}`);
        await press(p, " ");
      }
      await p.keyboard.press("End");
      for (let i = 0; i < 7; i++) await press(p, " ");
      assert.deepEqual(await poor(p, "body"), [], "end of the lesson");
      await p.keyboard.press("Home");
      for (const page of ["handout", "key"]) {
        const { page: q, context, watched: w } = await open(browser, url(lesson, page), PROJECTOR);
        assert.deepEqual(await poor(q, "body"), []);
        assert.deepEqual(w, { errors: [], requests: [] });
        await context.close();
      }
    });

    test("handout and key print on two sides with pictures to draw on, the page one case a sheet", LIMIT, async () => {
      for (const [page, sheets] of [["handout", 2], ["key", 2], ["lesson", CASES]]) {
        const { page: q, context } = await open(browser, url(lesson, page), PROJECTOR);
        for (const format of ["A4", "Letter"]) assert.equal(pages(await q.pdf({ format })), sheets, `${page} on ${format}`);
        const seen = await q.evaluate(() => ({
          pictures: [...document.querySelectorAll(".cell svg")].filter((s) => s.getBoundingClientRect().height > 140 && s.getBoundingClientRect().width > 225).length,
          blanks: document.querySelectorAll(".cell .blank").length, rules: document.querySelectorAll(".rule").length, filled: document.querySelectorAll(".cell .filled").length,
          silent: [...document.querySelectorAll("svg[role=img]")].filter((s) => !(s.getAttribute("aria-labelledby") ?? "").split(" ").some((id) => document.getElementById(id)?.textContent.trim())).length,
        }));
        if (page !== "lesson") assert.equal(seen.pictures, CASES);
        if (page === "handout") assert.ok(seen.blanks >= 10 && seen.rules === 2 * CASES, JSON.stringify(seen));
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

    test("on a phone one side stands above the other, with a switch and one clock", LIMIT, async () => {
      const { page: q, context, watched: w } = await open(browser, url(lesson, "lesson", `#case-${GROUT}`), PHONE);
      if (lesson === "inspectors") await press(q, " ");
      await press(q, " ");
      await press(q, " ");
      const seen = () => q.evaluate(() => ({
        boxes: [...document.querySelectorAll("section.case.now .panel")].map((e) => e.getBoundingClientRect()).map((b) => ({ top: b.top + scrollY, bottom: b.bottom + scrollY, width: b.width })),
        cut: [...document.querySelectorAll("section.case.now svg.cut")].map((e) => e.getBoundingClientRect().height), wide: document.documentElement.scrollWidth - innerWidth,
        drive: document.querySelector("section.case.now .drive").getBoundingClientRect().top + scrollY,
      }));
      let now = await seen();
      assert.ok(now.wide <= 0 && now.boxes[0].bottom <= now.boxes[1].top && now.boxes[1].bottom <= 844, JSON.stringify(now));
      assert.ok(now.boxes[1].bottom <= now.drive && now.cut.every((h) => h > 150), JSON.stringify(now));
      await q.locator("section.case.now .switch input").nth(1).check();
      now = await seen();
      assert.ok(now.boxes[0].width === 0 && now.cut[1] > 300, JSON.stringify(now));
      const at = await opening(q);
      assert.ok(at.step === 2 && at.panels[1].met);
      assert.deepEqual(w, { errors: [], requests: [] });
      await context.close();
    });

    test("on a phone the picture in three dimensions has a switch too, on one clock", LIMIT, async () => {
      const { page: q, context, watched: w } = await open(browser, url(lesson, "lesson", `#case-${GROUT}`), PHONE);
      await q.keyboard.press("v");
      await ready(q);
      const section = q.locator("section.case.now section.player");
      const panes = () => section.evaluate((s) => [...s.querySelectorAll(".gp-pane")].map((e) => e.getBoundingClientRect()).map((b) => ({ top: b.top, bottom: b.bottom, high: b.height, wide: b.width })));
      let now = await panes();
      assert.ok(now.length === 2 && now[0].bottom <= now[1].top + 1, JSON.stringify(now));
      assert.ok(now[1].bottom - now[0].top <= 844, `both on one screen: ${JSON.stringify(now)}`);
      await section.evaluate((s) => s.player.seek(0.03));
      await section.locator(".gp-onlytabs input").nth(1).check();
      await settled(q);
      now = await panes();
      assert.ok(now[0].high === 0 && now[1].high > 300, JSON.stringify(now));
      const at = await probe(q);
      assert.equal(at.time, 0.03);
      await section.locator(".gp-onlytabs input").nth(2).check();
      await settled(q);
      assert.ok((await panes()).every((b) => b.high > 150 && b.wide <= 390));
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
        // The opening needs no WebGL; the player gives its place to the still pictures.
        assert.equal((await opening(p)).panels.length, n === 1 ? 1 : 2);
        await p.keyboard.press("v");
        const stills = await p.evaluate(() => [...document.querySelectorAll("section.case.now .still svg")].map((s) => {
          const drawn = s.querySelector("g, use").getBBox();
          return { high: s.getBoundingClientRect().height, wide: s.getBoundingClientRect().width, drawn: drawn.width * drawn.height };
        }));
        // The slip base and the instants, for this case and for the one beside it.
        assert.equal(stills.length, n === 1 ? 2 : 4, `case ${n}`);
        for (const s of stills) assert.ok(s.high > 150 && s.wide > 500 && s.drawn > 1e5, `case ${n}: ${JSON.stringify(s)}`);
        await p.keyboard.press("v");
        await p.keyboard.press("ArrowRight");
      }
      assert.deepEqual(watched, { errors: [], requests: [] });
    } finally {
      await plain.close();
    }
  });
}
