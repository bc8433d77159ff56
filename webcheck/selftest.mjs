// Do the checkers find what they should, and nothing where there is nothing? Runs each over the good site, then over
// sites with planted faults (fixtures/faults.mjs). An argument runs only the tests whose names hold it.
import { spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { faults } from "./fixtures/faults.mjs";

const here = dirname(fileURLToPath(import.meta.url));
const wanted = process.argv[2] ?? "";
const work = mkdtempSync(join(tmpdir(), "webcheck-"));
let passed = 0;
let failed = 0;

const good = ["validate", "links", "browser", "lighthouse", "weight"].map((checker) => ({
  name: "nothing wrong with the good site",
  checker,
  good: true,
  expect: [new RegExp(`^${checker}: no problem; `, "m")],
}));
// A checker that cannot check must never look like one that found nothing.
const unable = ["validate", "links", "browser", "lighthouse", "weight"].map((checker) => ({
  name: "no site is no pass",
  checker,
  nowhere: true,
  expect: [/: error: /],
}));

for (const test of [...unable, ...good, ...faults]) {
  const title = `${test.checker}: ${test.name}`;
  if (!title.includes(wanted)) continue;
  const site = test.nowhere ? join(work, "nowhere") : plant(test);
  const run = spawnSync(process.execPath, [join(here, `${test.checker}.mjs`), site, ...(test.args ?? [])], { encoding: "utf8", timeout: 600_000 });
  const said = run.stdout + run.stderr;
  const code = test.nowhere ? 2 : test.good ? 0 : 1;
  const wrong = [];
  if (run.status !== code) wrong.push(`exit code ${run.status}, not ${code}`);
  for (const line of test.expect) if (!line.test(said)) wrong.push(`nothing printed that matches ${line}`);
  for (const line of test.never ?? []) if (line.test(said)) wrong.push(`something printed that matches ${line}`);
  if (wrong.length === 0) passed++;
  else failed++;
  console.log(`${wrong.length === 0 ? "ok" : "FAILED"}  ${title}`);
  if (wrong.length > 0) console.log(`${wrong.map((line) => `  ${line}`).join("\n")}\n  it printed:\n${said.replace(/^/gm, "    ")}`);
}
rmSync(work, { recursive: true });
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed === 0 && passed > 0 ? 0 : 1;

/** A copy of the good site, with the chart library and the faults put in. */
function plant({ change = {}, copy = {} }) {
  const site = mkdtempSync(join(work, "site-"));
  cpSync(join(here, "fixtures/good"), site, { recursive: true });
  mkdirSync(join(site, "assets"), { recursive: true });
  cpSync(join(here, "../themes/vendor/echarts.cut.js"), join(site, "assets/echarts.cut.js"));
  for (const [from, to] of Object.entries(copy)) cpSync(join(site, from), join(site, to));
  for (const [file, pairs] of Object.entries(change)) {
    let text = readFileSync(join(site, file), "utf8");
    for (const [from, to] of pairs) {
      const changed = text.replace(from, () => to);
      if (changed === text) throw new Error(`${file} does not hold ${from}`);
      text = changed;
    }
    writeFileSync(join(site, file), text);
  }
  return site;
}
