// Writes the small pictures of the documents: the page that answers, and a case of the lesson.
//
//     npm run pictures          # GIVEWAY names another program, GIVEWAY_CHROMIUM another browser
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { launch, open } from "./browser.mjs";

const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const GIVEWAY = process.env.GIVEWAY ?? join(ROOT, "target/debug/giveway");
const VIEWPORT = { width: 1280, height: 720 };
/// Width and height of a picture, px.
const SMALL = [1024, 576];
const folder = mkdtempSync(join(tmpdir(), "giveway-pictures-"));
const giveway = (...all) => execFileSync(GIVEWAY, all, { cwd: ROOT, stdio: ["ignore", "ignore", "inherit"] });
const frames = (p) => p.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));

/// The screen, made smaller by the browser.
async function write(p, name) {
  await frames(p);
  const whole = (await p.screenshot()).toString("base64");
  const small = await p.evaluate(async ([data, [w, h]]) => {
    const image = new Image();
    image.src = `data:image/png;base64,${data}`;
    await image.decode();
    const c = Object.assign(document.createElement("canvas"), { width: w, height: h });
    const g = c.getContext("2d");
    g.imageSmoothingQuality = "high";
    g.drawImage(image, 0, 0, w, h);
    return c.toDataURL("image/png").split(",")[1];
  }, [whole, SMALL]);
  const file = join(ROOT, "docs", name);
  writeFileSync(file, Buffer.from(small, "base64"));
  console.log(`${file}: ${(Buffer.from(small, "base64").length / 1e3).toFixed(0)} kB`);
}

const browser = await launch();
try {
  giveway("lesson", "scenarios/lessons/installers.toml", "--out", join(folder, "lesson"), "--quiet");
  const lesson = await open(browser, `${pathToFileURL(join(folder, "lesson/lesson.html")).href}#case-2`, { viewport: VIEWPORT });
  await lesson.page.evaluate(() => {
    const { opening } = document.querySelector("section.case.now div.opening");
    opening.make();
    opening.to(2);
  });
  await write(lesson.page, "lesson.png");
  await lesson.context.close();

  const page = join(folder, "page.html");
  giveway("page", "scenarios/conditions/correct.toml", "--out", page, "--quiet");
  const live = await open(browser, pathToFileURL(page).href, { viewport: VIEWPORT, bypassCSP: true });
  const p = live.page;
  const settled = () => p.waitForFunction(() => document.body.dataset.ready === "yes" && document.body.dataset.settled && !document.querySelector("#bar").classList.contains("old"), null, { timeout: 120_000 });
  await settled();
  await p.locator("#case").selectOption({ label: "Grout up over the bolt heads" });
  await settled();
  await p.evaluate(() => document.querySelector("section.player").player.seek(0.05));
  await p.waitForTimeout(500);
  await write(p, "page.png");
  await live.context.close();
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
