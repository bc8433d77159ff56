// node typed.cjs SCRIPT CASES: runs yours.js without a page and prints what it
// makes of each text that CASES (JSON) lists with its decimal mark.
"use strict";
const { readFileSync } = require("node:fs");
const vm = require("node:vm");

const window = {};
vm.runInContext(readFileSync(process.argv[2], "utf8"), vm.createContext({ window, document: { querySelector: () => null } }));
const { reading, farOff, signed } = window.benchwrightTyped;
process.stdout.write(JSON.stringify({
  Read: JSON.parse(process.argv[3]).map(({ Text, Mark }) => reading(Text, Mark)),
  Far: [[1.5, 154], [16, 154], [1540, 154], [1541, 154]].map(([value, from]) => farOff(value, from)),
  Signed: signed("-3"),
}));
