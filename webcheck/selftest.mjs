// Do the checkers find what they should, and nothing where there is nothing? Runs each over the good site, then over
// sites with planted faults (fixtures/faults.mjs). An argument runs only the tests whose names hold it.
import { execFile } from "node:child_process";
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

const tests = [...unable, ...good, ...faults].filter((test) => `${test.checker}: ${test.name}`.includes(wanted));
// Two at a time; but what measures time runs alone.
const timed = (test) => test.checker === "lighthouse";
const queue = tests.filter((test) => !timed(test));
const oneAfterAnother = async () => {
  for (let test = queue.shift(); test !== undefined; test = queue.shift()) await tryOut(test);
};
await Promise.all([oneAfterAnother(), oneAfterAnother()]);
for (const test of tests.filter(timed)) await tryOut(test);
rmSync(work, { recursive: true });
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed === 0 && passed > 0 ? 0 : 1;

async function tryOut(test) {
  const title = `${test.checker}: ${test.name}`;
  const site = test.nowhere ? join(work, "nowhere") : plant(test);
  const { status, said } = await run(test.checker, [site, ...(test.args ?? [])]);
  const code = test.nowhere ? 2 : test.good ? 0 : 1;
  const wrong = [];
  if (status !== code) wrong.push(`exit code ${status}, not ${code}`);
  for (const line of test.expect) if (!line.test(said)) wrong.push(`nothing printed that matches ${line}`);
  for (const line of test.never ?? []) if (line.test(said)) wrong.push(`something printed that matches ${line}`);
  if (wrong.length === 0) passed++;
  else failed++;
  console.log(`${wrong.length === 0 ? "ok" : "FAILED"}  ${title}`);
  if (wrong.length > 0) console.log(`${wrong.map((line) => `  ${line}`).join("\n")}\n  it printed:\n${said.replace(/^/gm, "    ")}`);
}

/** Runs a checker to its end; status is its exit code, or the signal that ended it. */
function run(checker, args) {
  return new Promise((done) => {
    execFile(process.execPath, [join(here, `${checker}.mjs`), ...args], { encoding: "utf8", timeout: 600_000, maxBuffer: 64 << 20 }, (error, stdout, stderr) =>
      done({ status: error ? (error.code ?? error.signal) : 0, said: stdout + stderr }),
    );
  });
}

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
