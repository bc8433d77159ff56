// What the first visit costs: the overview's HTML, style sheets and scripts,
// and apart from them the chart library, compressed with brotli -q 11.
import { existsSync, readFileSync } from "node:fs";
import { posix, resolve } from "node:path";
import { brotliCompressSync, constants } from "node:zlib";
import { parse } from "parse5";
import { commandLine, giveUp, Report } from "./lib/report.mjs";
import { isFolder, siteFiles } from "./lib/site.mjs";

const usage = `usage: node weight.mjs SITE [--page index.html] [--limit 60000] [--library echarts] [--library-limit 200000]
Adds up the brotli sizes (bytes; 1 KB is 1000) of a page with the style sheets and scripts that it names.
A file whose name holds the --library text is weighed apart, wherever in the site it lies.`;
const options = commandLine("weight", usage, { values: ["page", "limit", "library", "library-limit"] });
const root = resolve(options.rest[0]);
if (!isFolder(root)) giveUp("weight", `"${options.rest[0]}" is not a folder`);
const page = options.page ?? "index.html";
const limit = Number(options.limit ?? 60_000);
const library = options.library ?? "echarts";
const libraryLimit = Number(options["library-limit"] ?? 200_000);
if (!(limit > 0) || !(libraryLimit > 0)) giveUp("weight", "a limit is a number of bytes above 0");
if (!existsSync(`${root}/${page}`)) giveUp("weight", `the site has no page "${page}"`);

const report = new Report("weight");
const isLibrary = (file) => posix.basename(file).includes(library) && file.endsWith(".js");
const parts = [page, ...new Set(named(page))].filter((file) => !isLibrary(file));
let total = 0;
for (const file of parts) total += weigh(file);
if (total > limit) report.problem(page, `weighs ${total} bytes with its style sheets and scripts, more than ${limit}`);

const libraries = siteFiles(root).filter(isLibrary);
let libraryTotal = 0;
for (const file of libraries) libraryTotal += weigh(file);
if (libraryTotal > libraryLimit) report.problem(libraries.join(", "), `weighs ${libraryTotal} bytes, more than ${libraryLimit}`);
report.close(`${page} ${total} bytes of ${limit}; chart library ${libraries.length > 0 ? libraryTotal : "not found,"} of ${libraryLimit}`);

/** The compressed size of one file, printed as it is measured. */
function weigh(file) {
  const bytes = readFileSync(`${root}/${file}`);
  const params = { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length };
  const size = brotliCompressSync(bytes, { params }).length;
  console.log(`  ${file}: ${bytes.length} bytes, brotli ${size}`);
  return size;
}

/** The style sheets (with what they import) and scripts that a page names. */
function named(file) {
  const out = [];
  const visit = (node) => {
    const attributes = Object.fromEntries((node.attrs ?? []).map((a) => [a.name, a.value]));
    if (node.tagName === "script" && attributes.src) out.push(local(file, attributes.src));
    if (node.tagName === "link" && /\b(stylesheet|preload|modulepreload)\b/.test(attributes.rel ?? "") && /\.(css|js)([?#]|$)/.test(attributes.href ?? "")) {
      const sheet = local(file, attributes.href);
      out.push(sheet, ...imports(sheet));
    }
    for (const child of node.childNodes ?? []) visit(child);
  };
  visit(parse(readFileSync(`${root}/${file}`, "utf8")));
  return out.filter((name) => existsSync(`${root}/${name}`));
}

function imports(sheet) {
  if (!existsSync(`${root}/${sheet}`)) return [];
  const text = readFileSync(`${root}/${sheet}`, "utf8");
  return [...text.matchAll(/@import\s+(?:url\()?["']?([^"')\s;]+)/g)].map((match) => local(sheet, match[1]));
}

function local(from, address) {
  return posix.normalize(posix.join(posix.dirname(from), decodeURIComponent(address.split(/[?#]/)[0])));
}
