// Style of the player; set by the script, all names begin with gp.
import { GRID, INK, LIMIT, NAVY, PAPER, RUST, SLATE, STRAW } from "./palette.js";

export const CSS = `
.gp { --ink:${INK}; --slate:#4f5963; --grid:${GRID}; font-family:"DejaVu Sans","Segoe UI",system-ui,sans-serif; color:var(--ink); font-size:var(--gp-size,15px); line-height:1.35; margin:0 0 1.5rem; outline:none; }
.gp *, .gp *::before { box-sizing:border-box; }
.gp p, .gp h3, .gp ul, .gp li, .gp fieldset, .gp legend, .gp label { margin:0; padding:0; border:0; max-width:none; min-width:0; background:none; text-align:left; }
.gp svg { border:0; max-width:none; margin:0; }
.gp h3 { color:inherit; letter-spacing:normal; } .gp button, .gp select, .gp input { font-family:inherit; box-shadow:none; }
.gp :focus-visible { outline:3px solid ${RUST}; outline-offset:2px; }
.gp-hidden { position:absolute; width:1px; height:1px; overflow:hidden; clip-path:inset(50%); white-space:nowrap; }
.gp-bar { display:flex; flex-wrap:wrap; gap:8px 13px; align-items:center; padding:8px 0 10px; border-top:3px solid var(--ink); }
.gp-group { display:flex; gap:4px; } .gp-rest { display:flex; flex-wrap:wrap; gap:8px 13px; align-items:center; }
.gp-button { display:inline-grid; place-items:center; width:42px; height:42px; border:1.5px solid var(--ink); border-radius:3px; background:${PAPER}; color:var(--ink); cursor:pointer; padding:0; }
.gp-button:hover { background:#eef3f7; }
.gp-play { background:${NAVY}; border-color:${NAVY}; color:${PAPER}; width:64px; }
.gp-play:hover { background:#0d2343; }
.gp-field { display:inline-flex; align-items:center; gap:7px; font-size:calc(var(--gp-size,15px)*0.933); }
.gp-field select { font:inherit; color:inherit; height:42px; padding:0 8px; border:1.5px solid var(--ink); border-radius:3px; background:${PAPER}; max-width:12em; }
.gp-field select.gp-moments { width:8.5em; }
.gp-check input { width:20px; height:20px; accent-color:${NAVY}; margin:0; }
.gp-tabs { display:inline-flex; align-items:stretch; }
.gp .gp-tabs legend { float:left; padding:0 8px 0 0; align-self:center; font-size:calc(var(--gp-size,15px)*0.933); line-height:42px; }
.gp .gp-tab { position:relative; display:inline-flex; margin-left:-1.5px; cursor:pointer; }
.gp-tab input { position:absolute; inset:0; opacity:0; margin:0; cursor:pointer; width:100%; height:100%; }
.gp-tab span { display:block; padding:0 13px; line-height:39px; border:1.5px solid var(--ink); font-size:calc(var(--gp-size,15px)*0.933); background:${PAPER}; white-space:nowrap; }
.gp-tab:first-of-type span { border-radius:3px 0 0 3px; } .gp-tab:last-of-type span { border-radius:0 3px 3px 0; }
.gp-tab input:checked + span { background:var(--ink); color:${PAPER}; font-weight:700; }
.gp-tab input:focus-visible + span { outline:3px solid ${RUST}; outline-offset:2px; z-index:1; position:relative; }
.gp-onlytabs { display:none; }
.gp-panes { display:grid; grid-template-columns:repeat(auto-fit,minmax(min(100%,max(330px,calc(100%/var(--runs) - 24px))),1fr)); gap:20px; }
@supports (grid-template-rows:subgrid) {
  .gp:not([data-runs="1"]) .gp-panes { row-gap:0; }
  .gp:not([data-runs="1"]) .gp-pane { display:grid; grid-template-rows:subgrid; grid-row:span 4; grid-template-columns:minmax(0,1fr); padding-bottom:14px; }
}
.gp-pane { border-top:6px solid var(--pen); min-width:0; }
.gp-head { padding:8px 0 8px; flex:0 0 auto; }
.gp-pane h3 { font-size:calc(var(--gp-size,15px)*1.267); line-height:1.25; display:flex; gap:10px; align-items:baseline; font-weight:700; }
.gp-letter { min-width:1.6em; text-align:center; border:3px solid var(--pen); font-size:calc(var(--gp-size,15px)*1.067); line-height:1.3; padding:0 4px; flex:none; }
.gp .gp-headline { margin-top:4px; font-size:calc(var(--gp-size,15px)*0.933); color:var(--slate); display:flex; gap:9px; align-items:baseline; }
.gp-headline strong { flex:none; padding:1px 9px; border:1.5px solid currentColor; border-radius:2px; color:var(--ink); white-space:nowrap; }
.gp-headline.gp-pass strong { color:#14532f; background:#e6f4ec; }
.gp-headline.gp-marginal strong, .gp-headline.gp-undecided strong { color:#6b4a00; background:#fdf3d3; }
.gp-headline.gp-fail strong { color:#fff; background:${LIMIT}; border-color:${LIMIT}; }
.gp-view { position:relative; display:flex; flex-direction:column; border:1.5px solid var(--ink); background:${PAPER}; }
.gp-picture { display:block; width:100%; aspect-ratio:1.12; max-height:var(--gp-room,58vh); cursor:grab; touch-action:pan-y; }
.gp[data-view="plan"] .gp-picture { aspect-ratio:16/10; }
.gp[data-runs="1"] .gp-picture { aspect-ratio:16/8; max-height:var(--gp-room,74vh); }
.gp[data-view="base"] .gp-picture { aspect-ratio:16/10; max-height:var(--gp-room,none); }
.gp-picture:active { cursor:grabbing; }
.gp .gp-event { flex:1 0 auto; border-top:1.5px solid var(--ink); padding:7px 11px; font-size:var(--gp-size,15px); font-weight:700; min-height:2.3em; background:#f5f7f9; display:flex; justify-content:space-between; gap:14px; align-items:baseline; }
.gp-event strong { font-size:calc(var(--gp-size,15px)*1.35); white-space:nowrap; font-variant-numeric:tabular-nums; }
.gp-below { display:grid; grid-template-columns:1fr; gap:12px; margin-top:12px; }
.gp-planbox { align-self:start; display:none; position:relative; border:1.5px solid var(--ink); }
.gp-plan { display:block; width:100%; aspect-ratio:1.18; max-height:var(--gp-room,none); }
@media (max-width:720px) { .gp-plan { aspect-ratio:1.5; } }
.gp-close .gp-planbox { display:block; }
.gp-close .gp-below { grid-template-columns:minmax(0,1fr) minmax(0,1fr); }
.gp[data-runs="1"] .gp-close { display:grid; grid-template-columns:minmax(0,1.75fr) minmax(0,1fr); column-gap:18px; }
.gp[data-runs="1"] .gp-view .gp-event { flex:0 0 auto; }
.gp[data-runs="1"] .gp-close .gp-head { grid-column:1/-1; }
.gp[data-runs="1"] .gp-close .gp-view { display:flex; flex-direction:column; } .gp[data-runs="1"] .gp-close .gp-picture { flex:1 1 320px; height:320px; min-height:min(320px,var(--gp-room,320px)); aspect-ratio:auto; }
.gp[data-runs="1"] .gp-close .gp-below { grid-template-columns:1fr; margin-top:0; align-content:start; }
.gp-facts { display:flex; flex-direction:column; gap:8px; min-width:0; }
.gp-number b { display:block; font-size:calc(var(--gp-size,15px)*1.333); line-height:1.15; font-variant-numeric:tabular-nums; }
.gp-number span { font-size:calc(var(--gp-size,15px)*0.867); color:var(--slate); }
.gp-lost .gp-number b { font-size:calc(var(--gp-size,15px)*2.133); }
.gp-gauge { height:14px; border:1.5px solid var(--ink); background:repeating-linear-gradient(90deg,transparent 0 calc(25% - 1px),#9aa3ab calc(25% - 1px) 25%),#fff; position:relative; margin-top:3px; }
.gp-gauge i { position:absolute; inset:0 auto 0 0; background:var(--pen); }
.gp-numbers { display:grid; grid-template-columns:1fr 1fr; gap:8px; }
.gp:not([data-view="base"]) .gp-lost { flex:1 1 auto; }
.gp:not([data-view="base"]) .gp-facts { flex-direction:row; flex-wrap:wrap; align-items:center; gap:8px 22px; }
.gp:not([data-view="base"]) .gp-lost { flex:1 1 220px; }
.gp:not([data-view="base"]) .gp-numbers { flex:1 1 220px; }
.gp:not([data-view="base"]) .gp-bolts { flex:1 1 100%; display:flex; flex-wrap:wrap; gap:2px 18px; }
.gp:not([data-view="base"]) .gp-status { flex:1 1 100%; }
.gp .gp-status { font-weight:700; font-size:calc(var(--gp-size,15px)*1.133); padding:5px 10px; border-left:8px solid var(--slate); background:#eef1f3; }
.gp .gp-status.gp-is-none { display:none; }
.gp .gp-status.gp-is-held { border-color:${LIMIT}; background:#f9e3e1; color:#7d1212; }
.gp .gp-status.gp-is-gone { border-color:#1f7a4d; background:#e6f4ec; color:#14532f; }
.gp .gp-bolts { list-style:none; }
.gp .gp-bolts li { display:flex; gap:6px; align-items:center; padding:4px 0; border-bottom:1px solid var(--grid); font-size:calc(var(--gp-size,15px)*0.933); white-space:nowrap; }
.gp:not([data-view="base"]) .gp-pane .gp-bolts li { border:0; }
.gp-icon { display:inline-grid; }
.gp-force { margin-left:auto; color:var(--slate); font-variant-numeric:tabular-nums; overflow:hidden; text-overflow:ellipsis; }
.gp:not([data-view="base"]) .gp-force { display:none; }
.gp-scrub { display:grid; grid-template-columns:auto 1fr; gap:16px; align-items:center; margin:16px 0 8px; padding:10px 0; border-top:1.5px solid var(--ink); border-bottom:1.5px solid var(--ink); position:sticky; bottom:0; background:#fff; z-index:2; }
.gp-time { font-size:calc(var(--gp-size,15px)*1.867); font-weight:700; min-width:4.9em; font-variant-numeric:tabular-nums; text-align:right; white-space:nowrap; }
.gp-track { position:relative; min-width:0; }
.gp-marks { position:relative; height:calc(var(--rows)*8px); margin:0 9px; }
.gp-mark { position:absolute; width:3px; height:8px; top:calc(var(--row)*8px); background:var(--pen); transform:translateX(-1.5px); }
.gp-range { -webkit-appearance:none; appearance:none; width:100%; height:24px; margin:0; background:transparent; cursor:pointer; display:block; }
.gp-range::-webkit-slider-runnable-track { height:8px; border:1.5px solid var(--ink); background:linear-gradient(90deg,var(--ink) var(--share,0%),#fff var(--share,0%)); }
.gp-range::-moz-range-track { height:8px; border:1.5px solid var(--ink); background:linear-gradient(90deg,var(--ink) var(--share,0%),#fff var(--share,0%)); }
.gp-range::-webkit-slider-thumb { -webkit-appearance:none; width:18px; height:24px; margin-top:-9.5px; border:2px solid var(--ink); border-radius:3px; background:${STRAW}; }
.gp-range::-moz-range-thumb { width:14px; height:20px; border:2px solid var(--ink); border-radius:3px; background:${STRAW}; }
.gp-zones { position:relative; height:1.35em; margin:0 9px; font-size:calc(var(--gp-size,15px)*0.867); color:var(--slate); }
.gp-zone { position:absolute; top:0; border-left:1.5px solid var(--slate); padding-left:6px; white-space:nowrap; overflow:hidden; text-overflow:ellipsis; }
.gp-charts { margin-top:14px; }
.gp-chartbar { display:flex; flex-wrap:wrap; gap:8px 18px; align-items:center; margin-bottom:8px; }
.gp-hint, .gp-keyhint { font-size:calc(var(--gp-size,15px)*0.867); color:var(--slate); }
.gp-chartgrid { display:grid; grid-template-columns:repeat(auto-fill,minmax(min(100%,340px),1fr)); gap:14px 22px; }
.gp-chartname { font-size:calc(var(--gp-size,15px)*0.933); display:flex; flex-wrap:wrap; gap:2px 12px; }
.gp-keys { display:flex; flex-wrap:wrap; gap:2px 14px; font-size:calc(var(--gp-size,15px)*0.867); }
.gp-key { display:inline-flex; gap:5px; align-items:center; } .gp-key b { min-width:2.8em; font-variant-numeric:tabular-nums; }
.gp-chart { display:block; width:100%; height:auto; cursor:crosshair; touch-action:pan-y; }
.gp-chart text { font:12px "DejaVu Sans","Segoe UI",system-ui,sans-serif; fill:#4f5963; }
.gp-grid { stroke:var(--grid); } .gp-zero { stroke:var(--ink); }
.gp-cursor { stroke:var(--ink); stroke-width:1.6; } .gp-cursor.gp-beyond { stroke-dasharray:3 3; stroke:${SLATE}; }
.gp-figureline { stroke:${INK}; stroke-width:2px; vector-effect:non-scaling-stroke; } .gp-figureline.gp-beyond { stroke-dasharray:4 4; stroke:${SLATE}; }
.gp-figuretime { fill:${INK}; font-family:"DejaVu Sans","Segoe UI",system-ui,sans-serif; font-weight:700; stroke:#fff; stroke-width:3px; vector-effect:non-scaling-stroke; paint-order:stroke; }
.gp-seekable { cursor:crosshair; }
.gp .gp-keyhint { margin-top:12px; } .gp .gp-caution { margin-top:6px; font-size:calc(var(--gp-size,15px)*0.867); color:var(--slate); font-style:italic; }
.gp:fullscreen { background:#fff; overflow:auto; padding:12px 20px; }
.gp-later .gp-headline, .gp-later .gp-found { visibility:hidden; }
.gp .gp-found { margin-top:12px; padding-left:1.2em; font-size:calc(var(--gp-size,15px)*.95); } .gp .gp-found li { margin-bottom:4px; }
.gp[data-runs="1"] .gp-close .gp-found { grid-column:1/-1; }
.gp-error { color:${LIMIT}; font-weight:700; }
@media screen { section.gp-live > .still:not(.stays) { display:none; } }
section.gp-still-only .gp-picture, section.gp-still-only .gp-viewtabs { display:none; }
@media (max-width:720px) {
  .gp-close .gp-below { grid-template-columns:1fr; }
  .gp[data-runs="1"] .gp-close { display:flex; } .gp[data-runs="1"] .gp-close .gp-below { margin-top:12px; }
  .gp-scrub { grid-template-columns:1fr; gap:4px; } .gp-time { text-align:left; font-size:calc(var(--gp-size,15px)*1.467); }
  .gp-hint { display:none; } .gp-keyhint { display:none; }
  .gp:not([data-runs="1"]) .gp-onlytabs { display:inline-flex; }
  .gp-aside { display:none !important; }
  .gp:not([data-runs="1"])[data-only="all"] .gp-below, .gp:not([data-runs="1"])[data-only="all"] .gp-found, .gp:not([data-runs="1"])[data-only="all"] .gp-headline { display:none !important; }
  .gp:not([data-runs="1"])[data-only="all"] .gp-pane h3 { font-size:var(--gp-size,15px); }
  .gp:not([data-runs="1"])[data-only="all"] .gp-picture { aspect-ratio:16/9; }
  .gp-tab span { padding:0 9px; } .gp .gp-tabs legend { display:none; }
}
@media print {
  .gp, .gp-figurecursor { display:none !important; }
}
`;
