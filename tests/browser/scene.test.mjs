// The scene that `giveway scene` writes, against the standard's own validator of glTF 2.0.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { fileURLToPath } from "node:url";
import validator from "gltf-validator";

const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const PROGRAM = process.env.GIVEWAY ?? join(ROOT, "target/debug/giveway");
const wanted = process.env.GIVEWAY !== undefined || existsSync(PROGRAM);

const call = (...list) => execFileSync(PROGRAM, list, { cwd: ROOT, encoding: "utf8", stdio: ["ignore", "pipe", "pipe"], timeout: 80_000 });
const check = (bytes) => validator.validateBytes(new Uint8Array(bytes));

describe("giveway scene", { skip: wanted ? false : "the program is not built" }, () => {
  let folder;
  before(() => {
    folder = mkdtempSync(join(tmpdir(), "giveway-scene-"));
  });
  after(() => rmSync(folder, { recursive: true, force: true }));

  for (const name of ["first", "conditions/grouted_deep", "four_bolt_square"]) {
    test(`${name} is valid and moves`, { timeout: 90_000 }, async () => {
      const [run, scene] = [join(folder, "run", name), join(folder, `${name.replace("/", "-")}.glb`)];
      call("run", join("scenarios", `${name}.toml`), "--quiet", "--no-figures", "--out", run);
      call("scene", run, "--out", scene);
      const bytes = readFileSync(scene);
      const report = await check(bytes);
      const told = report.issues.messages.map((m) => `${m.code} ${m.pointer}: ${m.message}`).join("\n");
      assert.equal(report.mimeType, "model/gltf-binary");
      assert.equal(report.issues.numErrors, 0, told);
      assert.equal(report.issues.numWarnings, 0, told);
      assert.equal(report.info.version, "2.0");
      assert.ok(report.info.animationCount >= 1 && report.info.drawCallCount > 10, JSON.stringify(report.info));
    });
  }

  test("the validator finds faults", { timeout: 30_000 }, async () => {
    const bytes = readFileSync(join(folder, "first.glb"));
    const cut = await check(bytes.subarray(0, bytes.length - 100)).catch(() => ({ issues: { numErrors: 1 } }));
    assert.ok(cut.issues.numErrors > 0);
  });
});
