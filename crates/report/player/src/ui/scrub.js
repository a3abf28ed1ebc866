// The bar of time: half of it belongs to the blow, half to all that follows; events are marked on it.
import { WORDS, instant } from "../words.js";
import { el, say } from "./dom.js";

const STEPS = 2000;
/// Share of the bar that belongs to the blow.
const BLOW_SHARE = 0.62;

/// Share of the bar at time t, and back.
export function shareOf(t, slow, end) {
  if (end <= slow * 1.05) return end > 0 ? t / end : 0;
  return t <= slow ? (BLOW_SHARE * t) / slow : BLOW_SHARE + ((1 - BLOW_SHARE) * (t - slow)) / (end - slow);
}
export function timeOf(share, slow, end) {
  if (end <= slow * 1.05) return share * end;
  return share <= BLOW_SHARE ? (share / BLOW_SHARE) * slow : slow + ((share - BLOW_SHARE) / (1 - BLOW_SHARE)) * (end - slow);
}

export class Scrub {
  constructor(clock, replays, colours) {
    this.clock = clock;
    this.input = el("input", {
      type: "range", min: 0, max: STEPS, step: 1, value: 0, "aria-label": WORDS.time, class: "gp-range",
      oninput: () => clock.seek(timeOf(this.input.value / STEPS, clock.slowUntil, clock.end)),
    });
    this.read = el("output", { class: "gp-time", "aria-live": "off" });
    const marks = [];
    replays.forEach((r, i) => {
      for (const e of r.events ?? []) {
        const left = 100 * shareOf(e.time_s, clock.slowUntil, clock.end);
        marks.push(el("i", { class: "gp-mark", style: `left:${left}%;--pen:${colours[i]};--row:${i}`, title: `${instant(e.time_s)} ${e.label}` }));
      }
    });
    const split = clock.end > clock.slowUntil * 1.05;
    const zone = (from, to, words) => el("span", { class: "gp-zone", style: `left:${100 * from}%;width:${100 * (to - from)}%` }, words);
    const zones = split
      ? [zone(0, BLOW_SHARE, `${WORDS.blow}, 0 to ${instant(clock.slowUntil)}`), zone(BLOW_SHARE, 1, `${WORDS.after}, to ${instant(clock.end)}`)]
      : [zone(0, 1, `0 to ${instant(clock.end)}`)];
    this.root = el("div", { class: "gp-scrub" },
      this.read,
      el("div", { class: "gp-track" },
        el("div", { class: "gp-marks", "aria-hidden": "true", style: `--rows:${replays.length}` }, ...marks),
        this.input,
        el("div", { class: "gp-zones", "aria-hidden": "true" }, ...zones)),
    );
  }

  update(t) {
    const v = String(Math.round(STEPS * shareOf(t, this.clock.slowUntil, this.clock.end)));
    if (document.activeElement !== this.input || this.input.value !== v) this.input.value = v;
    this.input.style.setProperty("--share", `${(100 * v) / STEPS}%`);
    this.input.setAttribute("aria-valuetext", instant(t));
    say(this.read, instant(t));
  }
}
