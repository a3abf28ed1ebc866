// The one-file report in a real browser, from disk, without a network; its HTML against the standard's rules; its paper.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, statSync, truncateSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { fileURLToPath, pathToFileURL } from "node:url";
import { HtmlValidate } from "html-validate";
import { launch, open } from "./browser.mjs";

const LIMIT = { timeout: 240_000 };
const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const GIVEWAY = process.env.GIVEWAY ?? join(ROOT, "target/debug/giveway");
const MARKUP = 'title = "<script>alert(1)</script>\'\\"&"\n';

const folder = mkdtempSync(join(tmpdir(), "giveway-report-"));
const at = (name) => join(folder, name);
after(() => rmSync(folder, { recursive: true, force: true }));
const giveway = (...args) => execFileSync(GIVEWAY, args, { cwd: ROOT, encoding: "utf8" });

const PAGES = {
  one: ["grouted"],
  pair: ["correct", "grouted"],
  twelve: Array.from({ length: 12 }, (_, i) => (i % 2 ? "grouted" : "correct")),
  bare: ["bare"],
  markup: ["markup"],
  missed: ["missed"],
  study: ["study"],
  cut: ["cut"],
};

before(() => {
  for (const name of ["correct", "grouted"]) giveway("run", `scenarios/conditions/${name}.toml`, "--out", at(name), "--quiet");
  cpSync(at("grouted"), at("cut"), { recursive: true });
  truncateSync(at("cut/replay.json"), 9000);
  giveway("run", "scenarios/near_miss.toml", "--out", at("missed"), "--quiet");
  giveway("run", "scenarios/first.toml", "--no-figures", "--set", "output.history=false", "--out", at("bare"), "--quiet");
  const source = readFileSync(join(ROOT, "scenarios/first.toml"), "utf8").replace(/^title = .*\n/m, MARKUP);
  writeFileSync(at("markup.toml"), source);
  giveway("run", at("markup.toml"), "--out", at("markup"), "--quiet");
  cpSync(join(ROOT, "scenarios/first.toml"), at("base.toml"));
  writeFileSync(at("study.toml"), 'title = "Small"\nbase = "base.toml"\n[grid]\nslip_base.clamp.torque = ["100 N.m", "200 N.m", "300 N.m"]\nimpact.speed = ["30 km/h", "50 km/h"]\n');
  giveway("study", at("study.toml"), "--out", at("study"), "--quiet");
  for (const [page, runs] of Object.entries(PAGES)) giveway("report", ...runs.map(at), "--out", at(`${page}.html`), "--quiet");
}, LIMIT);

// What is folded is opened: its chapters are for those who look closer.
const unfold = (p) => p.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
const url = (page) => pathToFileURL(at(`${page}.html`)).href;

test("every page keeps the rules of HTML and stays below 3 MB", LIMIT, async () => {
  const rules = new HtmlValidate({
    extends: ["html-validate:standard", "html-validate:a11y"],
    // Matters of taste: sizes of text, and void elements and quotes as they are written here.
    rules: { "long-title": "off", "no-inline-style": "off", "require-sri": "off" },
  });
  for (const page of Object.keys(PAGES)) {
    assert.ok(statSync(at(`${page}.html`)).size < 3e6, page);
    // The script is not HTML; the rest of the page is what counts.
    const text = readFileSync(at(`${page}.html`), "utf8").replace(/(<script nonce="[^"]*">)[^]*?(<\/script>)/, "$1$2");
    const result = await rules.validateString(text);
    const said = result.results.flatMap((r) => r.messages).map((m) => `${page} ${m.line}:${m.column} ${m.ruleId}: ${m.message}`);
    assert.deepEqual(said.slice(0, 5), []);
  }
});

describe("in the browser", () => {
  let browser;
  before(async () => {
    browser = await launch();
  }, LIMIT);
  after(() => browser?.close());

  for (const page of Object.keys(PAGES)) {
    test(`${page}: no error, no request, headings in order, every picture has words`, LIMIT, async () => {
      const { context, page: p, watched } = await open(browser, url(page));
      const seen = await p.evaluate(() => ({
        levels: [...document.querySelectorAll("h1, h2, h3, h4")].map((h) => Number(h.tagName[1])),
        first: document.querySelector("main h2").textContent,
        silent: [...document.querySelectorAll("svg")].filter((s) => s.getAttribute("aria-hidden") !== "true" && s.getAttribute("role") === "img"
          && !(s.getAttribute("aria-labelledby") ?? "").split(" ").some((id) => document.getElementById(id)?.textContent.trim())
          && !s.getAttribute("aria-label")).length,
        twice: [...document.querySelectorAll("[id]")].map((e) => e.id).filter((id, i, all) => all.indexOf(id) !== i),
        wide: document.documentElement.scrollWidth - innerWidth,
        caution: document.body.innerText.includes("no substitute for a full-scale"),
      }));
      assert.equal(seen.levels.filter((l) => l === 1).length, 1);
      for (const [i, level] of seen.levels.entries()) if (i > 0) assert.ok(level <= seen.levels[i - 1] + 1, `heading ${i} of ${page}`);
      assert.match(seen.first, /^Verdict/);
      assert.equal(seen.silent, 0);
      assert.deepEqual(seen.twice, []);
      assert.ok(seen.wide <= 0, `${seen.wide} px too wide`);
      assert.ok(seen.caution);
      assert.deepEqual(watched, { errors: [], requests: [] });
      await context.close();
    });

    for (const format of ["A4", "Letter"]) {
      test(`${page}: on ${format} no picture is cut by the edge of a page`, LIMIT, async () => {
        const { context, page: p } = await open(browser, url(page));
        await p.emulateMedia({ media: "print" });
        // Room between the margins of the style sheet, px of 1/96 in.
        const paper = { A4: [210 - 26, 297 - 30], Letter: [215.9 - 26, 279.4 - 30] }[format].map((mm) => (mm / 25.4) * 96);
        await p.setViewportSize({ width: Math.floor(paper[0]), height: 1000 });
        const sizes = await p.evaluate(() => [...document.querySelectorAll("figure")].filter((f) => f.offsetHeight > 0).map((f) => {
          const svg = f.querySelector("svg")?.getBoundingClientRect();
          return { height: f.getBoundingClientRect().height, width: svg?.width ?? 0, whole: getComputedStyle(f).breakInside === "avoid" };
        }));
        for (const s of sizes) {
          assert.ok(s.whole && s.height <= paper[1] && s.width <= paper[0] + 1, `${JSON.stringify(s)} on ${paper}`);
        }
        const pdf = await p.pdf({ format, preferCSSPageSize: false });
        assert.equal(pdf.subarray(0, 5).toString(), "%PDF-");
        const pages = (pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g) ?? []).length;
        assert.ok(pages >= 1 && pages < 150, `${pages} pages`);
        await context.close();
      });
    }
  }

  test("a title of markup stays a title", LIMIT, async () => {
    const { context, page: p } = await open(browser, url("markup"));
    const title = "<script>alert(1)</script>'\"&";
    assert.equal(await p.locator("h1").textContent(), title);
    assert.ok((await p.title()).endsWith(title));
    assert.equal(await p.evaluate(() => [...document.scripts].filter((s) => s.textContent.trim() === "alert(1)").length), 0);
    await context.close();
  });

  test("the keyboard reaches the verdict first, and wide tables", LIMIT, async () => {
    const { context, page: p } = await open(browser, url("bare"));
    await p.keyboard.press("Tab");
    assert.equal(await p.evaluate(() => document.activeElement.className), "skip");
    await p.keyboard.press("Enter");
    // The key is taken before the browser has followed the link.
    await p.waitForFunction(() => location.hash === "#main", null, { timeout: 10_000 });
    await context.close();
  });

  test("two runs play on one clock in a report", LIMIT, async (t) => {
    const { context, page: p, watched } = await open(browser, url("pair"));
    if ((await p.locator("section.player").count()) === 0) return t.skip("the runs wrote no data of a moving picture");
    await p.waitForFunction(() => document.querySelector("section.player")?.player?.ready, null, { timeout: 60_000 });
    assert.equal(await p.evaluate(() => document.querySelector("section.player").player.probe().length), 2);
    await p.evaluate(() => document.querySelector("section.player").player.seek(0.05));
    assert.ok(Math.abs((await p.evaluate(() => document.querySelector("section.player").player.time_s)) - 0.05) < 1e-9);
    // As `crates/cli/tests/film.rs` expects it of the film.
    for (const [t, states] of [[0, ["clamped clamped clamped", "clamped clamped clamped"]], [0.024, ["sliding sliding sliding", "held clamped held"]], [0.028, ["free free free", "sliding sliding sliding"]], [0.09, ["free free free", "free free free"]]]) {
      const now = await p.evaluate((time) => {
        const { player } = document.querySelector("section.player");
        player.seek(time);
        return player.probe().map((r) => r.bolts.join(" ").replaceAll("gone", "free"));
      }, t);
      assert.deepEqual(now, states, `at ${t} s`);
    }
    assert.deepEqual(watched, { errors: [], requests: [] });
    await context.close();
  });

  // It was 33 printed pages and 57 000 pixels on a phone, and its first table did not say why a run fails.
  test("the report of a pair says first who fails and why, in at most 12 pages, and can be read on a phone", LIMIT, async () => {
    giveway("run", "scenarios/conditions/grouted_deep.toml", "--out", at("deep"), "--quiet");
    giveway("report", at("correct"), at("deep"), "--figures", "contact,joint", "--out", at("fails.html"), "--quiet");
    const { context, page: p } = await open(browser, url("fails"), { viewport: { width: 1280, height: 720 } });
    assert.equal(await p.locator("h1").textContent(), "B fails; A passes");
    const answer = p.locator("p.answer").nth(1);
    assert.match(await answer.textContent(), /^B the blow fails .*The base held, 0 of 3 bolts free: .*Found on site: grout/);
    const box = await answer.boundingBox();
    assert.ok(box.y + box.height < 720, JSON.stringify(box));
    const pages = (await p.pdf({ format: "A4" })).toString("latin1").match(/\/Type\s*\/Page[^s]/g).length;
    assert.ok(pages <= 12, String(pages));
    await unfold(p);
    assert.equal(await p.locator("figure[data-replays]").count(), 5);
    await context.close();
    const phone = await open(browser, url("fails"), { viewport: { width: 390, height: 844 } });
    const size = await phone.page.evaluate(() => [document.documentElement.scrollHeight, document.documentElement.scrollWidth]);
    assert.ok(size[0] < 12_000 && size[1] <= 390, String(size));
    await phone.context.close();
    assert.throws(() => execFileSync(GIVEWAY, ["report", at("deep"), "--figures", "nothing", "--out", at("x.html")], { stdio: "pipe" }), (e) => e.status === 2 && /no run has it; there are: contact/.test(e.stderr.toString()));
  });

  // It was 46 000 pixels tall on a phone.
  test("the report of one run folds on a screen, and is whole on paper", LIMIT, async () => {
    const { context, page: p, watched } = await open(browser, url("one"), { viewport: { width: 390, height: 844 } });
    const size = await p.evaluate(() => [document.documentElement.scrollHeight, document.documentElement.scrollWidth]);
    assert.ok(size[0] < 12_000 && size[1] <= 390, String(size));
    // A link of the contents opens the chapter that it leads to.
    const closed = () => p.locator("details:not([open])").count();
    const before = await closed();
    assert.ok(before >= 6, String(before));
    await p.evaluate(() => (location.hash = "#numbers"));
    await p.waitForFunction(() => document.getElementById("numbers").closest("details").open);
    assert.equal(await closed(), before - 1);
    await context.close();
    const pages = async (open_) => {
      const { context: c, page: q } = await open(browser, url("one"));
      if (open_) await unfold(q);
      const count = (await q.pdf({ format: "A4" })).toString("latin1").match(/\/Type\s*\/Page[^s]/g).length;
      await c.close();
      return count;
    };
    const folded = await pages(false);
    assert.ok(folded > 8, String(folded));
    assert.equal(folded, await pages(true), "paper does not depend on what is unfolded");
    assert.deepEqual(watched, { errors: [], requests: [] });
  });

  test("a cursor moves in all figures against time, and a click in one moves everything", LIMIT, async () => {
    const { context, page: p, watched } = await open(browser, url("pair"));
    await p.waitForFunction(() => document.querySelector("section.player")?.player?.ready, null, { timeout: 60_000 });
    await unfold(p);
    // Motion, contact, joint and energy of either run, and the runs over each other.
    assert.equal(await p.locator("figure[data-replays] .gp-figurecursor").count(), 9);
    const at = async (t) => {
      await p.evaluate((time) => document.querySelector("section.player").player.seek(time), t);
      const out = [];
      for (const figure of await p.locator("figure[data-replays]").all()) {
        await figure.scrollIntoViewIfNeeded();
        await p.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done, 50)))));
        out.push(await figure.evaluate((f) => ({
          clocks: f.querySelector("svg").dataset.clocks.split(",").map((c) => c.split(" ").map(Number)),
          x: [...f.querySelectorAll(".gp-figureline")].map((l) => Number(l.getAttribute("x1"))), read: f.querySelector(".gp-figuretime").textContent,
        })));
      }
      return out;
    };
    for (const t of [0.01, 0.025]) {
      for (const f of await at(t)) {
        assert.equal(f.x.length, f.clocks.length);
        f.clocks.forEach(([left, , right, , from, to], i) => assert.ok(Math.abs(f.x[i] - (left + ((right - left) * (t - from)) / (to - from))) < 1e-6, JSON.stringify(f)));
        assert.equal(f.read, `${(1000 * t).toFixed(1)} ms`);
      }
    }
    // Half way along the last time axis: the clock goes there.
    const picture = p.locator("figure[data-replays] svg").last();
    const target = await picture.evaluate((s) => {
      s.scrollIntoView({ block: "center" });
      const [left, top, right, bottom, from, to] = s.dataset.clocks.split(",").at(-1).split(" ").map(Number);
      const p = new DOMPoint((left + right) / 2, (top + bottom) / 2).matrixTransform(s.getScreenCTM());
      return { x: p.x, y: p.y, t: (from + to) / 2, step: (to - from) / (right - left) };
    });
    await p.mouse.click(target.x, target.y);
    const now = await p.evaluate(() => document.querySelector("section.player").player.time_s);
    assert.ok(Math.abs(now - target.t) < 20 * target.step, `${now} ${target.t}`);
    await p.emulateMedia({ media: "print" });
    assert.equal(await p.locator(".gp-figurecursor").first().isVisible(), false);
    assert.deepEqual(watched, { errors: [], requests: [] });
    await context.close();
  });

  for (const [page, runs] of [["one", 1], ["pair", 2], ["cut", 1]]) {
    test(`${page}: on paper the instants stand in the moving picture's place, once`, LIMIT, async () => {
      const { context, page: p } = await open(browser, url(page));
      await p.waitForFunction(() => !document.querySelector("section.player") || document.querySelector("section.player").player?.ready, null, { timeout: 60_000 });
      // On a screen they stand below what moves.
      const order = await p.evaluate(() => [document.querySelector(".gp"), document.querySelector(".still figure")].map((e) => e?.getBoundingClientRect().top));
      if (page === "cut") assert.match(await p.locator("section[aria-labelledby=moving] .notice strong").first().textContent(), /moving picture is damaged/);
      else assert.ok(order[0] < order[1], String(order));
      await p.emulateMedia({ media: "print" });
      assert.equal(await p.locator(".gp:visible").count(), 0);
      const pictures = p.locator(".still svg:visible");
      assert.equal(await pictures.count(), runs);
      for (let i = 0; i < runs; i++) assert.ok((await pictures.nth(i).boundingBox()).height > 300);
      await context.close();
    });
  }

  test("without WebGL the instants stand in the moving picture's place, and the cursors still move", LIMIT, async () => {
    const plain = await launch({ webgl: false });
    try {
      const { page: p, watched } = await open(plain, url("pair"));
      await p.waitForFunction(() => document.querySelector("section.player")?.player?.ready, null, { timeout: 60_000 });
      await unfold(p);
      const order = await p.evaluate(() => [document.querySelector(".still svg"), document.querySelector(".gp")].map((e) => e.getBoundingClientRect().top));
      assert.ok(order[0] < order[1], String(order));
      assert.equal(await p.locator(".still svg:visible").count(), 2);
      assert.equal(await p.locator(".gp-picture:visible").count(), 0);
      await p.evaluate(() => document.querySelector("section.player").player.seek(0.03));
      await p.locator("figure[data-replays]").last().scrollIntoViewIfNeeded();
      await p.waitForFunction(() => [...document.querySelectorAll(".gp-figuretime")].at(-1).textContent === "30.0 ms", null, { timeout: 10_000 });
      assert.deepEqual(watched, { errors: [], requests: [] });
    } finally {
      await plain.close();
    }
  });

  test("the report of a study opens under 2 s", LIMIT, async () => {
    const context = await browser.newContext({ offline: true });
    const p = await context.newPage();
    const started = performance.now();
    await p.goto(url("study"), { waitUntil: "load" });
    assert.ok(performance.now() - started < 2000);
    await context.close();
  });
});
