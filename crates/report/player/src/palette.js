// Colours of the printed figures (crates/report/src/palette.rs), so that picture and page agree.
export const INK = "#1f262d";
export const SLATE = "#5d6873";
export const GRID = "#e3e6e9";
export const PAPER = "#ffffff";
export const NAVY = "#14325c";
export const RUST = "#d05a0c";
export const SEA = "#3cab94";
export const PLUM = "#a24280";
export const STRAW = "#e6bc3c";
export const SKY = "#9cc9ec";
export const STONE = "#c8c1b6";
export const LIMIT = "#a81e1e";
export const EARTH = "#d9d2c5";
export const GROUT = "#e9dcbf";
export const BODY = "#9fbdd6";
export const GLASS = "#e2eef7";
export const RUBBER = "#33383e";
export const STEEL = "#4a5560";

/// Pens of runs and bolts: colour, dash (SVG), marker.
export const PENS = [
  { colour: NAVY, dash: "", marker: "disc" },
  { colour: RUST, dash: "9 4", marker: "square" },
  { colour: SEA, dash: "3 3", marker: "triangle" },
  { colour: PLUM, dash: "10 3 2 3", marker: "diamond" },
];

export const pen = (i) => PENS[i % PENS.length];
export const number = (hex) => parseInt(hex.slice(1), 16);
