// Every word that the player shows, in one place. English.

/// 12.3 ms, 0.51 s.
export const instant = (t) => (t < 0.9995 ? `${(1000 * t).toFixed(t < 0.0995 ? 1 : 0)} ms` : `${t.toFixed(2)} s`);
export const kmph = (v) => `${(3.6 * v).toFixed(1)} km/h`;
export const kn = (f) => (Math.abs(f) < 50 ? "0 kN" : `${(f / 1000).toFixed(Math.abs(f) < 9950 ? 1 : 0)} kN`);
export const mm = (d) => `${Math.round(1000 * d)} mm`;

export const OUTCOMES = {
  pass: { mark: "\u2713", word: "pass" },
  marginal: { mark: "\u25b2", word: "marginal" },
  fail: { mark: "\u2715", word: "fail" },
  "not-evaluated": { mark: "?", word: "not evaluated" },
  none: { mark: "\u2013", word: "no verdict" },
};

/// What a bolt does now.
export const STATES = {
  clamped: { word: "clamped", meaning: "nothing moves" },
  sliding: { word: "sliding", meaning: "on its way out of a notch" },
  held: { word: "held", meaning: "pushed hard and cannot move" },
  gone: { word: "free", meaning: "out of its notch" },
};

export const WORDS = {
  player: "Moving picture of the impact",
  play: "Play",
  pause: "Pause",
  back: "Step back",
  forward: "Step forward",
  start: "To first touch",
  end: "To the end",
  speed: "Speed",
  automatic: "slow in the blow",
  views: { road: "Road", side: "Side", plan: "From above", base: "Slip base" },
  viewsLegend: "View",
  forces: "Forces",
  repeat: "Repeat the blow",
  time: "Time",
  blow: "the blow",
  after: "after it",
  moments: "Moments",
  keys: "Keys: space plays, left and right step, up and down change the speed, home and end, 1 to 4 the views, shift with arrows turns the picture, plus and minus zoom, 0 sets it back.",
  lost: "speed lost",
  lostOf: (v) => `speed lost, of ${kmph(v)}`,
  thrownBack: (v) => `speed lost, of ${kmph(v)}: thrown back`,
  brief: (v) => `${kmph(v)} lost`,
  full: "Full screen",
  push: "push of the car",
  crush: "front pushed in",
  across: "across",
  tension: "tension",
  charts: {
    velocity_change_mps: "Speed lost, km/h",
    contact_force_n: "Force between car and pole, kN",
    crush_m: "Front pushed in, mm",
    foot_moment_nm: "Bending moment at the foot, kN.m",
    tension: "Tension of the bolts, kN",
  },
  chartRange: { blow: "the blow", whole: "whole event" },
  chartRangeLegend: "Charts show",
  chartHint: "Click or drag in a chart to move in time.",
  bolt: (n) => `bolt ${n}`,
  grout: (depth) => (depth > 0 ? `\u2715 grout, ${mm(depth)} up the bolt heads` : `\u25b2 grout, ${mm(-depth)} below the bolt heads`),
  room: (gap) => `\u2713 ${mm(gap)} of room under the heads`,
  stub: "anchor bar",
  conduit: "conduit",
  lump: "zinc lump",
  soil: "bank",
  noWashers: "no round washers",
  above: "the notches from above",
  legend: "Bolts",
  found: "Findings",
  held: "the base holds",
  letGo: "the base has let go",
  clamped: "all bolts clamped",
  unknown: "where the pole goes from here was not computed",
  takes: "arrow at a bolt: how hard it holds the plate back",
  someFree: (n, all) => `${n} of ${all} bolts free`,
  slide: "the plates slide",
  since: (t) => `since ${instant(t)}`,
  sheared: "sheared off",
  unreadable: "This replay cannot be read: ",
};

/// Text of the speed.
export const speedText = (x) => (x === "auto" ? WORDS.automatic : x === 1 ? "real time" : `1/${Math.round(1 / x)}`);
