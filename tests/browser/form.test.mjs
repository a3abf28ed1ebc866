// The form of one pole on a phone, offline: nothing too wide, large fields, a draft that stays, a record that the program reads.
import assert from "node:assert/strict";
import { execFileSync, spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, copyFileSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath, pathToFileURL } from "node:url";
import { HtmlValidate } from "html-validate";
import { launch } from "./browser.mjs";

const LIMIT = { timeout: 120_000 };
const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const GIVEWAY = process.env.GIVEWAY ?? join(ROOT, "target/debug/giveway");
const folder = mkdtempSync(join(tmpdir(), "giveway-form-"));
const file = join(folder, "form.html");
let browser;

before(async () => {
  mkdirSync(join(folder, "types"));
  copyFileSync(join(ROOT, "scenarios/site/types/ring_road_12m.toml"), join(folder, "types/ring.toml"));
  execFileSync(GIVEWAY, ["form", "types/ring.toml", "--units", "us", "--out", "form.html"], { cwd: folder });
  browser = await launch();
}, LIMIT);
after(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

async function phone(context) {
  const page = await context.newPage();
  const faults = [];
  page.on("pageerror", (e) => faults.push(String(e)));
  page.on("request", (r) => { if (!r.url().startsWith("file:") && !r.url().startsWith("blob:")) faults.push(r.url()); });
  await page.goto(pathToFileURL(file).href);
  return { page, faults };
}

const choose = (page, key, value) => page.locator(`input[name="${key}"][value="${value}"]`).evaluate((n) => n.click());

test("the page keeps the rules of HTML", LIMIT, async () => {
  const rules = new HtmlValidate({ extends: ["html-validate:standard"], rules: { "long-title": "off", "require-sri": "off", "void-style": "off", "no-implicit-button-type": "off" } });
  const text = readFileSync(file, "utf8").replace(/(<script>)[^]*?(<\/script>)/g, "$1$2");
  const said = (await rules.validateString(text)).results.flatMap((r) => r.messages).map((m) => `${m.line}:${m.column} ${m.ruleId}: ${m.message}`);
  assert.deepEqual(said.slice(0, 5), []);
});

test("one pole is entered on a phone, the draft stays, the record is read and go", LIMIT, async () => {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, offline: true, acceptDownloads: true });
  let { page, faults } = await phone(context);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  assert.ok(wide <= 390, `${wide} px wide`);
  const small = await page.evaluate(() => [...document.querySelectorAll("input:not([type=radio]), select, button, .choice")].filter((n) => n.offsetHeight > 0 && n.offsetHeight < 44).map((n) => n.id || n.textContent));
  assert.deepEqual(small, [], "fields lower than 44 px");
  // Without pole and date nothing is saved.
  await page.click("#save");
  assert.match(await page.textContent("#problems"), /The pole is missing.*The date is missing/);
  await page.fill("#pole", 'HV-"1"');
  await page.fill("#date", "2026-11-20");
  await page.fill("#position", "47.3769, 8.5417");
  await page.fill("#wrench", "TW-17");
  for (const [key, value] of [["round_washers", "between"], ["stub_projection", "none"], ["conduit_projection", "none"], ["soil_gap", "free"], ["rust", "none"], ["bolt_threads", "lubricated"], ["engaged_threads", "full"], ["notch_lump", "none"]]) await choose(page, key, value);
  for (const [key, ...values] of [["grout_gap", "1/2"], ["grout_notch_gap", "1/2"], ["plate_height", "4"], ["keeper_thickness", "0.018"], ["plate_washer_thickness", "5/16"], ["torque", "133", "132", "134"]]) {
    await choose(page, key, "=");
    for (const [i, v] of values.entries()) await page.fill(`#${key}-${i + 1}`, v);
  }
  assert.match(await page.textContent("#item-grout_gap .limit"), /at least 1\/2 in/);
  assert.equal(await page.textContent("#count"), `14 of ${await page.locator("#form > fieldset").count()} entered`);
  // The draft outlives the page.
  await page.close();
  ({ page, faults } = await phone(context));
  assert.equal(await page.inputValue("#torque-3"), "134");
  const [download] = await Promise.all([page.waitForEvent("download"), page.click("#save")]);
  assert.equal(download.suggestedFilename(), "HV-_1_.toml");
  const record = join(folder, "record.toml");
  await download.saveAs(record);
  assert.match(readFileSync(record, "utf8"), /torque = "133 lbf.ft; 132 lbf.ft; 134 lbf.ft"/);
  const said = spawnSync(GIVEWAY, ["inspect", "record.toml"], { cwd: folder, encoding: "utf8" });
  assert.equal(said.status, 0, said.stdout + said.stderr);
  assert.match(said.stdout, /POLE HV-"1", 2026-11-20: GO/);
  assert.match(said.stdout, /required at least 1\/2 in, found 1\/2 in/);
  // A comma is no decimal sign: told before the file is written.
  await page.fill("#plate_height-1", "4,5");
  await page.click("#save");
  assert.match(await page.textContent("#problems"), /is no number/);
  assert.deepEqual(faults, []);
  await context.close();
});

test("units and not measured are choices, and a value keeps the unit in which it was read", LIMIT, async () => {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, offline: true, acceptDownloads: true });
  const { page, faults } = await phone(context);
  const unit = (key) => page.inputValue(`#${key}-1-unit`);
  assert.equal(await unit("plate_height"), "in");
  await choose(page, "units", "si");
  assert.deepEqual([await unit("plate_height"), await unit("torque")], ["mm", "N.m"]);
  assert.match(await page.textContent("#item-grout_gap .limit"), /at least 13 mm/);
  await choose(page, "plate_height", "=");
  await page.fill("#plate_height-1", "100");
  await choose(page, "units", "us");
  assert.deepEqual([await unit("plate_height"), await unit("torque")], ["mm", "lbf.ft"]);
  // Everything begins as not measured, and what was measured can be taken back.
  await choose(page, "torque", "=");
  await page.fill("#torque-1", "133");
  assert.match(await page.textContent("#count"), /^2 of /);
  await page.locator("#item-torque .choice input").first().evaluate((n) => n.click());
  assert.match(await page.textContent("#count"), /^1 of /);
  await page.fill("#pole", "HV-2");
  await page.fill("#date", "2026-11-20");
  const [download] = await Promise.all([page.waitForEvent("download"), page.click("#save")]);
  const record = join(folder, "open.toml");
  await download.saveAs(record);
  const text = readFileSync(record, "utf8");
  assert.match(text, /plate_height = "100 mm"/);
  assert.doesNotMatch(text, /torque = "133/);
  const said = spawnSync(GIVEWAY, ["inspect", "open.toml"], { cwd: folder, encoding: "utf8" });
  assert.equal(said.status, 6, said.stdout + said.stderr);
  assert.match(said.stdout, /CANNOT TELL/);
  assert.deepEqual(faults, []);
  await context.close();
});

// One bolt's torque was saved as that of every bolt, and an emptied form asked in other units than its limits.
test("one bolt is no answer for all, and an emptied form keeps the reader's units", LIMIT, async () => {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, offline: true });
  const { page, faults } = await phone(context);
  page.on("dialog", (d) => d.accept());
  await page.fill("#pole", "HV-3");
  await page.fill("#date", "2026-11-20");
  await choose(page, "torque", "=");
  await page.fill("#torque-2", "133");
  await page.click("#save");
  assert.match(await page.textContent("#problems"), /a value is missing/);
  const spoken = async () => [await page.inputValue("#plate_height-1-unit"), await page.inputValue("#torque-1-unit"), await page.inputValue('input[name="units"]:checked'), (await page.textContent("#item-grout_gap .limit")).trim()];
  for (const [units, wanted] of [["si", ["mm", "N.m", "si", "Required: at least 13 mm"]], ["us", ["in", "lbf.ft", "us", "Required: at least 1/2 in"]]]) {
    await page.click("#clear");
    await choose(page, "units", units);
    assert.deepEqual(await spoken(), wanted);
    await page.click("#clear");
    assert.deepEqual(await spoken(), wanted, "emptied");
  }
  assert.deepEqual(faults, []);
  await context.close();
});
