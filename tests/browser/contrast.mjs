/// Runs in the page: texts below `root` whose contrast with their ground is below 4.5 (WCAG 2.1, 1.4.3), with the ratio.
export const poor = (p, root) => p.evaluate((selector) => {
  const rgb = (s) => (s.match(/[\d.]+/g) ?? []).map(Number);
  const light = (c) => [0.2126, 0.7152, 0.0722].reduce((sum, k, i) => {
    const v = c[i] / 255;
    return sum + k * (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  }, 0);
  const ground = (e) => {
    for (let n = e; n; n = n.parentElement) {
      const c = rgb(getComputedStyle(n).backgroundColor);
      if (c.length && (c.length < 4 || c[3] === 1)) return c;
    }
    return [255, 255, 255];
  };
  const out = [];
  for (const e of document.querySelectorAll(`${selector} *`)) {
    if (![...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()) || e.closest("svg, script, style") || e.tagName === "OPTION") continue;
    const [a, b] = [light(rgb(getComputedStyle(e).color)), light(ground(e))];
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) out.push(`${e.className} ${ratio.toFixed(2)} ${e.textContent.slice(0, 20)}`);
  }
  return out;
}, root);
