// One WebGL picture for the whole page: every pane is rendered by it in turn and copied to the pane's own canvas.
import { NoToneMapping, PCFShadowMap, SRGBColorSpace, WebGLRenderer } from "three";

let renderer;
let tried = false;

/// The renderer, or null where the browser has no WebGL.
export function stage() {
  if (tried) return renderer;
  tried = true;
  renderer = null;
  const canvas = document.createElement("canvas");
  // Asked for here first: three.js would report a failure as an error on the console.
  let context = null;
  try {
    context = canvas.getContext("webgl2", { antialias: true, alpha: false, powerPreference: "high-performance" });
  } catch {
    context = null;
  }
  if (!context) return null;
  renderer = new WebGLRenderer({ canvas, context });
  renderer.setPixelRatio(1);
  renderer.toneMapping = NoToneMapping;
  renderer.outputColorSpace = SRGBColorSpace;
  renderer.shadowMap.enabled = true;
  renderer.shadowMap.type = PCFShadowMap;
  renderer.autoClear = true;
  canvas.addEventListener("webglcontextlost", (e) => e.preventDefault());
  return renderer;
}

/// Renders a scene to a 2-D canvas of width x height device pixels.
export function paint(scene, camera, context2d, width, height) {
  const r = stage();
  if (!r) return false;
  const c = r.domElement;
  if (c.width < width || c.height < height) r.setSize(Math.max(c.width, width), Math.max(c.height, height), false);
  r.setViewport(0, c.height - height, width, height);
  r.setScissor(0, c.height - height, width, height);
  r.setScissorTest(true);
  r.render(scene, camera);
  context2d.drawImage(c, 0, 0, width, height, 0, 0, width, height);
  return true;
}
