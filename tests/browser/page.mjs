// Builds a page with players in it, as reports do: replays as data, sections, the script at the end.
import { readFileSync } from "node:fs";

const SCRIPT = new URL("../../crates/report/assets/player.js", import.meta.url);

/// replays: list of objects; sections: list of { replays: [numbers from 1], view, charts, verdict }.
export function page(replays, sections) {
  const data = replays.map((r, i) => `<script type="application/json" id="replay-${i + 1}">${JSON.stringify(r).replaceAll("<", "\\u003c")}</script>`);
  const still = (n) => `<figure class="still"><svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 200" role="img" aria-label="storyboard ${n}" width="400" height="200"><rect width="400" height="200" fill="#eee"/><text x="20" y="100" font-size="30">STORYBOARD ${n}</text></svg></figure>`;
  const parts = sections.map((s, i) => `<section class="player" data-replays="${s.replays.map((n) => `replay-${n}`).join(" ")}" data-view="${s.view ?? "road"}" data-charts="${s.charts ?? "yes"}"${s.verdict ? ` data-verdict="${s.verdict}"` : ""}>${still(i + 1)}</section>`);
  return `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data: blob:; script-src 'nonce-77'; base-uri 'none'; form-action 'none'"><title>Players</title>
<style>body{margin:16px auto;max-width:1400px;padding:0 16px;font-family:"DejaVu Sans",sans-serif}
header{border-top:8px solid;padding-top:1rem}p,ul{margin:0 0 .8rem;max-width:52rem}li{margin-bottom:.25rem}figure{margin:0 0 1.6rem}figure svg{border:1px solid #848e97;display:block;width:100%}section{padding:0}</style></head><body><h1>Players</h1>
${parts.join("\n")}
${data.join("\n")}
<script nonce="77">${readFileSync(SCRIPT, "utf8")}</script></body></html>`;
}
