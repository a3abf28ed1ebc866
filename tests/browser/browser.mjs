// Debian's Chromium without a window; WebGL is computed in software.
import { chromium } from "playwright-core";

const EXECUTABLE = process.env.GIVEWAY_CHROMIUM ?? "/usr/bin/chromium";

/// webgl: false switches all of it off. The browser itself crashes now and then as it starts (seen: a segmentation fault, once in some
/// hundred starts); that says nothing of a page, so a start that fails is tried twice more.
export async function launch({ webgl = true } = {}) {
  const gl = webgl ? ["--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"] : ["--disable-gpu", "--disable-3d-apis", "--disable-software-rasterizer"];
  const start = () => chromium.launch({ executablePath: EXECUTABLE, headless: true, args: ["--no-sandbox", "--disable-dev-shm-usage", "--hide-scrollbars", "--force-color-profile=srgb", ...gl], timeout: 30_000 });
  return start().catch(start).catch(start);
}

/// Opens a file and watches it: errors on the console, failures of scripts, requests beyond the file itself.
export async function open(browser, url, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, offline: true, ...options });
  const page = await context.newPage();
  const watched = { errors: [], requests: [] };
  page.on("console", (m) => m.type() === "error" && watched.errors.push(m.text()));
  page.on("pageerror", (e) => watched.errors.push(String(e)));
  page.on("request", (r) => {
    if (r.url() !== url.split("#")[0] && !r.url().startsWith("data:") && !r.url().startsWith("blob:")) watched.requests.push(r.url());
  });
  await page.goto(url, { waitUntil: "load", timeout: 30_000 });
  return { context, page, watched };
}
