// Every word that the player shows, in one place. English.

/// 12.3 ms, 0.51 s.
export const instant = (t) => (t < 0.9995 ? `${(1000 * t).toFixed(t < 0.0995 ? 1 : 0)} ms` : `${t.toFixed(2)} s`);

/// Units of the person who looks: `data-units="us"` at the page's root, else SI. Replays are SI. Name, and shown number over
/// the number in SI.
const SI = { speed: ["km/h", 3.6], force: ["kN", 1e-3], length: ["mm", 1e3], moment: ["kN.m", 1e-3] };
const US = { speed: ["mph", 3600 / 1609.344], force: ["kip", 1 / 4448.2216152605], length: ["in", 1 / 0.0254], moment: ["kip.ft", 1 / 1355.8179483314004] };
const isUs = () => globalThis.document?.documentElement?.dataset?.units === "us";
export const unit = (of) => (isUs() ? US : SI)[of];

const shown = (of, v, decimals) => {
  const [name, factor] = unit(of);
  return `${(factor * v).toFixed(decimals)} ${name}`;
};
export const kmph = (v) => shown("speed", v, 1);
export const kn = (f) => {
  const [name, factor] = unit("force");
  return Math.abs(f) < 50 ? `0 ${name}` : shown("force", f, Math.abs(factor * f) < 9.95 ? 1 : isUs() ? 1 : 0);
};
export const mm = (d) => shown("length", d, isUs() ? 1 : 0);

/// Quantities in a sentence of the replay, which is written in SI.
const SPOKEN = [
  ["km/h", "mph", 1 / 1.609344], ["m/s", "ft/s", 1 / 0.3048], ["kN.m", "kip.ft", 1 / 1.3558179483314004], ["N.m", "lbf.ft", 1 / 1.3558179483314004],
  ["kN", "kip", 1 / 4.4482216152605], ["kg", "lb", 1 / 0.45359237], ["mm", "in", 1 / 25.4], ["m", "ft", 1 / 0.3048],
];
const NUMBER = String.raw`(?<![\w.\-/^])-?\d+(?:\.\d+)?`;
const QUANTITY = new RegExp(String.raw`${NUMBER}(?: (?:to|and|or) -?\d+(?:\.\d+)?)* (?:${SPOKEN.map((s) => s[0].replace(".", "\\.")).join("|")})(?![\w/^\-])`, "g");
export const say = (text) => !isUs() ? text : text.replace(QUANTITY, (all) => {
  const [, us, factor] = SPOKEN.find((s) => all.endsWith(` ${s[0]}`));
  return `${all.slice(0, all.lastIndexOf(" ")).replace(/-?\d+(?:\.\d+)?/g, (n) => String(Number((factor * n).toPrecision(3))))} ${us}`;
});

export const OUTCOMES = {
  pass: { mark: "\u2713", word: "the blow passes" },
  marginal: { mark: "\u25b2", word: "the blow passes, beyond a preferred limit" },
  undecided: { mark: "\u25b2", word: "the blow is undecided" },
  fail: { mark: "\u2715", word: "the blow fails" },
  "not-evaluated": { mark: "?", word: "the blow is not judged" },
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
  onlyLegend: "Show",
  both: "both",
  all: "all",
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
    velocity_change_mps: "Speed lost",
    contact_force_n: "Force between car and pole",
    crush_m: "Front pushed in",
    foot_moment_nm: "Bending moment at the foot",
    tension: "Tension of the bolts",
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

/// Title of a chart with its unit.
export const chartTitle = (name, of) => `${WORDS.charts[name]}, ${unit(of)[0]}`;

/// Text of the speed.
export const speedText = (x) => (x === "auto" ? WORDS.automatic : x === 1 ? "real time" : `1/${Math.round(1 / x)}`);
