// node figures.cjs FOLDER: runs figures.js over figures.data.js, both in the
// folder, and prints every figure that a page can ask for as JSON; for readings
// from elsewhere those that outside.json of the folder lists.
"use strict";
const { readFileSync } = require("node:fs");
const { join } = require("node:path");
const vm = require("node:vm");

const window = {};
const context = vm.createContext({ window, Math, Map, Set, Object, Array });
for (const name of ["figures.data.js", "figures.js"]) {
  vm.runInContext(readFileSync(join(process.argv[2], name), "utf8"), context, name);
}
const f = window.benchwrightFigures(window.benchwrightData);
const all = f.data.configurations.map((_, i) => i);
const workloads = f.data.workloads.map((_, i) => i);
const figure = (b, c, w) => (f.data.workloads[w].interval ? f.difference(b, c, w) : f.relative(b, c, w));
process.stdout.write(JSON.stringify({
  Relative: all.map((b) => all.map((c) => workloads.map((w) => figure(b, c, w)))),
  Composite: f.data.composites.map((_, k) => all.map((b) => all.map((c) => f.composite(k, b, c)))),
  Column: workloads.map((w) => f.column(f.data.baseline, w).map((x) => (x.complete?.(), x))),
  Outside: JSON.parse(readFileSync(join(process.argv[2], "outside.json"), "utf8")).map(({ w, values, step }) => f.outside(f.data.baseline, w, values, step)),
  Pair: all.map((b) => all.map((c) => f.pair(b, c))),
  Verdict: all.map((b) => all.map((c) => f.verdict(b, c))),
  Unheld: all.map((b) => all.map((c) => f.unheld(b, c))),
  Between: all.map((b) => all.map((c) => (b === c ? [] : f.between(b, c)))),
}));
