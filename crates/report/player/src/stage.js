// One WebGL picture for the whole page: every pane is rendered by it in turn and copied to the pane's own canvas.
import { NoToneMapping, PCFShadowMap, SRGBColorSpace, WebGLRenderer } from "three";

let renderer;
let tried = false;

/// How much the machine can do: 0 all, 1 no shadows and plain pixels, 2 coarse pixels as well.
export const quality = { level: 0 };

/// Pixels of the picture per pixel of the page.
export function pixelRatio() {
  const full = Math.min(2, window.devicePixelRatio || 1);
  return [full, Math.min(1, full), 0.66][quality.level];
}

/// Called with the seconds between frames while the picture moves: a slow machine gets a simpler picture.
export function heed(seconds) {
  heed.mean = heed.mean === undefined ? seconds : heed.mean + 0.15 * (seconds - heed.mean);
  heed.count = (heed.count ?? 0) + 1;
  if (heed.count > 12 && heed.mean > 0.09 && quality.level < 2) {
    quality.level += 1;
    heed.count = 0;
    heed.mean = undefined;
  }
}

/// Whether the browser computes WebGL in software, which is slow with shadows and smooth edges.
function software() {
  const g = document.createElement("canvas").getContext("webgl2");
  if (!g) return false;
  const info = g.getExtension("WEBGL_debug_renderer_info");
  const name = String(g.getParameter(info ? info.UNMASKED_RENDERER_WEBGL : g.RENDERER));
  g.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}

/// The renderer, or null where the browser has no WebGL.
export function stage() {
  if (tried) return renderer;
  tried = true;
  renderer = null;
  const canvas = document.createElement("canvas");
  if (new URLSearchParams(location.search).get("quality") !== "full" && software()) quality.level = 1;
  // Asked for here first: three.js would report a failure as an error on the console.
  let context = null;
  try {
    context = canvas.getContext("webgl2", { antialias: quality.level === 0, alpha: false, powerPreference: "high-performance" });
  } catch {
    context = null;
  }
  if (!context) return null;
  try {
    renderer = new WebGLRenderer({ canvas, context });
  } catch {
    return (renderer = null);
  }
  renderer.setPixelRatio(1);
  renderer.toneMapping = NoToneMapping;
  renderer.outputColorSpace = SRGBColorSpace;
  renderer.shadowMap.enabled = true;
  renderer.shadowMap.type = PCFShadowMap;
  renderer.localClippingEnabled = true;
  // Asking whether a program is right waits for its compiler; the tests draw every scene with the question on.
  renderer.debug.checkShaderErrors = false;
  return renderer;
}

/// Renders a scene with width x height pixels and fills a 2-D canvas with it.
export function paint(scene, camera, context2d, width, height) {
  const r = stage();
  if (!r) return false;
  const c = r.domElement;
  if (c.width < width || c.height < height) r.setSize(Math.max(c.width, width), Math.max(c.height, height), false);
  r.shadowMap.enabled = quality.level === 0;
  r.setViewport(0, c.height - height, width, height);
  r.setScissor(0, c.height - height, width, height);
  r.setScissorTest(true);
  r.render(scene, camera);
  context2d.drawImage(c, 0, 0, width, height, 0, 0, context2d.canvas.width, context2d.canvas.height);
  return true;
}
