// The engine of the offline page, outside of a page: the digits of the program over the shipped scenarios, and bad requests.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { after, before, describe, test } from "node:test";
import { fileURLToPath } from "node:url";
import { gunzipSync } from "node:zlib";

const LIMIT = { timeout: 300_000 };
const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const GIVEWAY = process.env.GIVEWAY ?? join(ROOT, "target/debug/giveway");
const folder = mkdtempSync(join(tmpdir(), "giveway-engine-"));
after(() => rmSync(folder, { recursive: true, force: true }));

let engine;
let wasm;
before(async () => {
  wasm = await WebAssembly.compile(gunzipSync(readFileSync(join(ROOT, "crates/report/assets/engine.wasm.gz"))));
  engine = (await WebAssembly.instantiate(wasm, {})).exports;
});

function ask(question) {
  const bytes = typeof question === "string" ? Buffer.from(question) : Buffer.from(JSON.stringify(question));
  const place = engine.giveway_place(bytes.length);
  if (!place && bytes.length) return null;
  new Uint8Array(engine.memory.buffer, place, bytes.length).set(bytes);
  const length = engine.giveway_ask();
  return JSON.parse(Buffer.from(engine.memory.buffer, engine.giveway_answer(), length).toString());
}

test("the module asks for nothing from outside", () => {
  assert.deepEqual(WebAssembly.Module.imports(wasm), []);
});

test("summary and replay have the digits of the program over the shipped scenarios", LIMIT, () => {
  const of = (place) => readdirSync(join(ROOT, place)).filter((f) => f.endsWith(".toml") && f !== "evidence.toml").sort().map((f) => `${place}/${f}`);
  const files = ["scenarios", "scenarios/conditions", "scenarios/published"].flatMap(of);
  assert.ok(files.length >= 40, `${files.length} scenarios`);
  const run = spawnSync(GIVEWAY, ["run", ...files, "--no-figures", "--format", "json", "--out", folder], { cwd: ROOT, encoding: "utf8", maxBuffer: 1 << 28 });
  const lines = run.stdout.trim().split("\n").map((line) => JSON.parse(line));
  assert.deepEqual(lines.map((l) => l.file), files);
  let replays = 0;
  for (const { file, folder: results, summary } of lines) {
    assert.ok(summary, file);
    const changes = [["output.figures", "false"]];
    const text = readFileSync(join(ROOT, file), "utf8");
    const answer = ask({ text, name: file, want: "whole", changes: [] });
    assert.deepEqual(answer.summary, summary, file);
    const written = ask({ name: file, want: "text", changes }).text;
    assert.ok(written.includes("[output]"), file);
    const replay = JSON.parse(readFileSync(resolve(ROOT, results, "replay.json"), "utf8"));
    assert.deepEqual(answer.replay, replay, file);
    replays += 1;
  }
  assert.ok(replays >= 40);
});

describe("requests that are wrong", () => {
  const text = () => readFileSync(join(ROOT, "scenarios/first.toml"), "utf8");
  test("a request that is no JSON, an unknown wish, an unknown member", () => {
    for (const request of ["", "{", '{"want":"all"}', '{"want":"numbers","more":1}', '"\u0000"']) assert.match(ask(request).error, /cannot be read/, request);
  });
  test("a scenario that is none, and a value out of range", () => {
    for (const bad of ["", "[[", "title = 3"]) assert.ok(ask({ text: bad, want: "numbers" }).problems.length > 0, bad);
    const answer = ask({ text: text(), want: "numbers", changes: [["slip_base.clamp.torque", "-5 N.m"]] });
    assert.match(answer.problems[0].message, /torque|range|-5/);
    assert.match(ask({ want: "numbers", changes: [["impact.speed", "NaN km/h"]] }).problems[0].code, /^S/);
  });
  test("a request that is too long gets no place, and the engine answers after all of this", () => {
    assert.equal(engine.giveway_place(5 << 20), 0);
    const answer = ask({ text: text(), want: "numbers" });
    assert.equal(answer.summary.ending, "released");
    assert.equal(answer.replay, undefined);
  });
});

test("the scenario that is written reads back to the same digits", LIMIT, () => {
  const changes = [
    ["slip_base.clamp.torque", "300 N.m"], ["as_found.grout.gap", "-28 mm"], ["as_found.grout.bolts", "[1]"], ["vehicle.class", "pickup-2270"],
    ["as_found.stub[1].azimuth", "90 deg"], ["as_found.stub[1].projection", "25 mm"], ["as_found.stub[1].gap", "10 mm"],
  ];
  const text = readFileSync(join(ROOT, "scenarios/first.toml"), "utf8");
  const first = ask({ text, changes, want: "whole" });
  const again = ask({ text: ask({ text, changes, want: "text" }).text, want: "whole" });
  // What may be left out is computed from what is written: clamp force, ride frequency, damping.
  assert.equal(again.summary.assumptions, 3);
  assert.deepEqual({ ...again.summary, assumptions: first.summary.assumptions }, first.summary);
});
