// Bundles src/main.js and what it needs of three.js into ../assets/player.js: one classic script that works from disk.
//   node build.mjs           writes player.js, its SHA-256 and the licence of three.js
//   node build.mjs --check   builds again in memory and fails where the committed files differ
import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build, version } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const assets = join(here, "..", "assets");
const three = JSON.parse(readFileSync(join(here, "node_modules", "three", "package.json"), "utf8"));
const LIMIT_BYTES = 900_000;

const result = await build({
  absWorkingDir: here,
  entryPoints: ["src/main.js"],
  bundle: true,
  write: false,
  format: "iife",
  target: "es2020",
  minify: true,
  charset: "ascii",
  legalComments: "none",
  banner: {
    js: `/* giveway player; contains three.js ${three.version} (MIT, see player.licence.txt); built by crates/report/player/build.mjs */`,
  },
});
let script = result.outputFiles[0].text;
// The script is put between <script> tags: nothing in it may end or comment them out.
script = script.replace(/<\/script/gi, "<\\/script").replace(/<!--/g, "<\\!--");
const sum = createHash("sha256").update(script).digest("hex");
const licence = readFileSync(join(here, "node_modules", "three", "LICENSE"), "utf8");
const files = {
  "player.js": script,
  "player.js.sha256": `${sum}  player.js\n`,
  "player.licence.txt": `player.js contains parts of three.js ${three.version}:\n\n${licence}`,
};

for (const word of ["eval(", "new Function(", "XMLHttpRequest(", "importScripts("]) {
  const own = result.outputFiles[0].text.includes(word);
  if (own && word !== "XMLHttpRequest(") fail(`the bundle contains ${word}`);
}
if (Buffer.byteLength(script) > LIMIT_BYTES) fail(`player.js has ${Buffer.byteLength(script)} bytes, more than ${LIMIT_BYTES}`);

if (process.argv.includes("--check")) {
  for (const [name, text] of Object.entries(files)) {
    let committed = "";
    try {
      committed = readFileSync(join(assets, name), "utf8");
    } catch {
      fail(`${name} is missing in crates/report/assets`);
    }
    if (committed !== text) fail(`crates/report/assets/${name} is not what its source gives: run "npm run build" in crates/report/player`);
  }
  console.log(`player.js: ${Buffer.byteLength(script)} bytes, as built (sha256 ${sum})`);
} else {
  mkdirSync(assets, { recursive: true });
  for (const [name, text] of Object.entries(files)) writeFileSync(join(assets, name), text);
  console.log(`player.js: ${Buffer.byteLength(script)} bytes, sha256 ${sum} (esbuild ${version}, three ${three.version})`);
}

function fail(words) {
  console.error(words);
  process.exit(1);
}
