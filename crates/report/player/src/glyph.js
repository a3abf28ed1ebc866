// Signs of what a bolt does: each state has its own shape and its own colour.
import { INK, LIMIT, NAVY, PAPER, SLATE, STRAW } from "./palette.js";

/// clamped: full disc; sliding: triangle; held: square with a cross; gone: dashed ring.
export const SIGN = {
  clamped: { colour: NAVY, text: PAPER },
  sliding: { colour: STRAW, text: INK },
  held: { colour: LIMIT, text: PAPER },
  gone: { colour: PAPER, text: SLATE },
};

/// Draws the sign about (x, y) with half size r on a 2-D canvas.
export function sign(g, state, x, y, r) {
  g.save();
  g.lineWidth = Math.max(1, r * 0.18);
  g.strokeStyle = INK;
  g.fillStyle = SIGN[state].colour;
  g.beginPath();
  if (state === "clamped") g.arc(x, y, r, 0, 7);
  else if (state === "sliding") {
    g.moveTo(x + 1.15 * r, y);
    g.lineTo(x - 0.8 * r, y - 1.05 * r);
    g.lineTo(x - 0.8 * r, y + 1.05 * r);
    g.closePath();
  } else if (state === "held") g.rect(x - r, y - r, 2 * r, 2 * r);
  else {
    g.setLineDash([r * 0.5, r * 0.4]);
    g.strokeStyle = SLATE;
    g.arc(x, y, r, 0, 7);
  }
  g.fill();
  g.stroke();
  if (state === "held") {
    g.beginPath();
    g.strokeStyle = PAPER;
    g.lineWidth = Math.max(1.5, r * 0.3);
    const k = 0.5 * r;
    g.moveTo(x - k, y - k);
    g.lineTo(x + k, y + k);
    g.moveTo(x - k, y + k);
    g.lineTo(x + k, y - k);
    g.stroke();
  }
  g.restore();
}

/// The same as SVG text, 16 by 16.
export function signSvg(state) {
  const c = SIGN[state].colour;
  const shape = {
    clamped: `<circle cx="8" cy="8" r="6" fill="${c}" stroke="${INK}"/>`,
    sliding: `<path d="M14.5 8 3 1.8v12.4z" fill="${c}" stroke="${INK}"/>`,
    held: `<path d="M2 2h12v12H2z" fill="${c}" stroke="${INK}"/><path d="M5 5l6 6M5 11l6-6" stroke="${PAPER}" stroke-width="2"/>`,
    gone: `<circle cx="8" cy="8" r="6" fill="${c}" stroke="${SLATE}" stroke-dasharray="3 2.3" stroke-width="1.4"/>`,
  }[state];
  return `<svg viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">${shape}</svg>`;
}
