// Does every link of the site lead somewhere, on any host and from disk? Reads
// files alone, no server and no browser.
import { readFileSync } from "node:fs";
import { posix, resolve } from "node:path";
import { parse } from "parse5";
import { commandLine, giveUp, Report } from "./lib/report.mjs";
import { decodeURIComponentOr, isFolder, siteFiles } from "./lib/site.mjs";

const usage = `usage: node links.mjs SITE
Checks that every reference of every HTML, SVG and CSS file names a file of the site, that every fragment exists,
that nothing is loaded from elsewhere and that every page can be reached from index.html.
Allowed off the site: <a href="https://…" rel="…">, mailto:, and <link> of kinds that are not loaded.
A fragment that holds "=" is taken for the state of a page's script, not for a place in it.`;
const options = commandLine("links", usage);
const root = resolve(options.rest[0]);
if (!isFolder(root)) giveUp("links", `"${options.rest[0]}" is not a folder`);

const report = new Report("links");
const files = new Set(siteFiles(root));
const read = (file) => readFileSync(`${root}/${file}`, "utf8");
const pages = [...files].filter((file) => file.endsWith(".html"));
if (pages.length === 0) giveUp("links", "the folder holds no .html file");

// <link> relations whose target a browser does not load while showing the page.
const linkNotLoaded = new Set(["alternate", "author", "bookmark", "canonical", "cite-as", "describedby", "help", "license", "me", "next", "prev", "privacy-policy", "search", "self", "start", "up"]);
// Attributes that make a browser load something, by element ("*": any).
const loading = {
  "*": ["src", "srcset", "imagesrcset", "poster", "background"],
  object: ["data"],
  image: ["href", "xlink:href"],
  use: ["href", "xlink:href"],
  feimage: ["href", "xlink:href"],
  script: ["href", "xlink:href"],
};

const parsed = new Map(); // file → { references, ids, leadsTo }
const reached = new Set();
let references = 0;

for (const file of files) {
  if (/\.(html|svg)$/.test(file)) document(file);
}
for (const file of files) {
  if (/\.(html|svg)$/.test(file)) for (const reference of document(file).references) check(file, reference);
  if (file.endsWith(".css")) for (const address of cssAddresses(read(file))) check(file, { address, loads: true, what: "url()" });
}
reachable();
report.close(`${files.size} files, ${pages.length} pages, ${references} references`);

/** The references and the ids of an HTML or SVG file. */
function document(file) {
  if (parsed.has(file)) return parsed.get(file);
  const found = { file, references: [], ids: new Set(), leadsTo: new Set() };
  parsed.set(file, found);
  walk(parse(read(file), { sourceCodeLocationInfo: true }), found);
  return found;
}

function walk(node, found) {
  const name = node.tagName?.toLowerCase();
  if (name) element(name, node, found);
  if (name === "style") {
    const text = node.childNodes.map((child) => child.value ?? "").join("");
    for (const address of cssAddresses(text)) add(found, node, { address, loads: true, what: "url() in <style>" });
  }
  for (const child of node.childNodes ?? []) walk(child, found);
  if (node.content) walk(node.content, found);
}

function element(name, node, found) {
  const attributes = Object.fromEntries(node.attrs.map((a) => [(a.prefix ? a.prefix + ":" : "") + a.name.toLowerCase(), a.value]));
  const rel = (attributes.rel ?? "").toLowerCase().split(/\s+/).filter(Boolean);
  if (attributes.id !== undefined) found.ids.add(attributes.id);
  if (name === "a" && attributes.name !== undefined) found.ids.add(attributes.name);

  for (const attribute of [...loading["*"], ...(loading[name] ?? [])]) {
    if (attributes[attribute] === undefined) continue;
    const addresses = /srcset$/.test(attribute)
      ? attributes[attribute].split(/,\s+/).map((candidate) => candidate.trim().split(/\s+/)[0])
      : [attributes[attribute]];
    for (const address of addresses) add(found, node, { address, loads: true, what: `<${name} ${attribute}>` });
  }
  if (attributes.style !== undefined) {
    for (const address of cssAddresses(attributes.style)) add(found, node, { address, loads: true, what: `<${name} style>` });
  }
  if ((name === "a" || name === "area") && (attributes.href ?? attributes["xlink:href"]) !== undefined) {
    add(found, node, { address: attributes.href ?? attributes["xlink:href"], link: true, rel, what: `<${name} href>` });
  }
  if (name === "link" && attributes.href !== undefined) {
    const loads = !(rel.length > 0 && rel.every((kind) => linkNotLoaded.has(kind)));
    add(found, node, { address: attributes.href, loads, what: `<link rel="${rel.join(" ")}">` });
  }
  if (name === "form" && attributes.action !== undefined) add(found, node, { address: attributes.action, loads: true, what: "<form action>" });
  if (name === "base") report.problem(at(found.file, node.sourceCodeLocation?.startLine), `<base> makes links work in one place only`);
  if (name === "meta" && attributes["http-equiv"]?.toLowerCase() === "refresh") {
    const address = /url\s*=\s*['"]?([^'"]+)/i.exec(attributes.content ?? "")?.[1];
    if (address) add(found, node, { address, link: true, rel, what: "<meta refresh>" });
  }
}

function add(found, node, reference) {
  found.references.push({ ...reference, line: node.sourceCodeLocation?.startLine });
}

function at(file, line) {
  return line ? `${file}:${line}` : file;
}

/** The addresses in url() and @import of a style sheet. */
function cssAddresses(text) {
  const plain = text.replace(/\/\*[\s\S]*?\*\//g, "");
  const out = [];
  for (const match of plain.matchAll(/url\(\s*(?:"([^"]*)"|'([^']*)'|([^)'"\s]*))\s*\)/gi)) out.push(match[1] ?? match[2] ?? match[3]);
  for (const match of plain.matchAll(/@import\s+(?:"([^"]*)"|'([^']*)')/gi)) out.push(match[1] ?? match[2]);
  return out;
}

/** One reference of one file: where it leads, and whether it may. */
function check(file, { address, loads, link, rel, what, line }) {
  references++;
  const where = at(file, line);
  const shown = address.length > 120 ? address.slice(0, 117) + "…" : address;
  const fault = (why) => report.problem(where, `${what} "${shown}" ${why}`);

  if (address.trim() !== address) return fault("has spaces around it");
  const scheme = /^([a-z][a-z0-9+.-]*):/i.exec(address)?.[1].toLowerCase();
  if (scheme === "data") return loads && what !== "<script src>" ? undefined : fault("is a data address");
  if (scheme === "mailto" && link) return;
  if (scheme === "https" && !loads) {
    if (link && rel.length === 0) return fault("leaves the site and has no rel");
    return;
  }
  if (scheme === "http" && !loads) return fault("leaves the site without encryption: use https");
  if (scheme) return fault(loads ? "is loaded from elsewhere" : `has the scheme "${scheme}"`);
  if (address.startsWith("//")) return fault(loads ? "is loaded from elsewhere" : "has no scheme");
  if (address.startsWith("/")) return fault("starts at the host's root: it breaks below a sub-path and from disk");
  if (address === "") return fault("is empty");

  const [beforeFragment, ...fragments] = address.split("#");
  const path = decodeURIComponentOr(beforeFragment.split("?")[0]);
  const fragment = fragments.length > 0 ? decodeURIComponentOr(fragments.join("#")) : undefined;
  if (path === undefined || (fragments.length > 0 && fragment === undefined)) return fault("is not well encoded");
  const target = path === "" ? file : posix.normalize(posix.join(posix.dirname(file), path));
  if (target === ".." || target.startsWith("../")) return fault("leads out of the site's folder");
  if (target === "." || target.endsWith("/")) return fault("leads to a folder: from disk that opens no page, name its index.html");
  if (!files.has(target)) {
    if (files.has(target + "/index.html")) return fault("leads to a folder: from disk that opens no page, name its index.html");
    return fault("leads to no file");
  }
  if (link && file.endsWith(".html") && target.endsWith(".html")) {
    document(file).leadsTo.add(target);
  }
  if (fragment === undefined || fragment === "" || fragment === "top" || fragment.includes("=") || fragment.startsWith(":~:")) return;
  if (!/\.(html|svg)$/.test(target)) return;
  if (!document(target).ids.has(fragment)) fault(`names a place that "${target}" does not have`);
}

/** Every page can be reached by links from the overview; an error page need not. */
function reachable() {
  if (!files.has("index.html")) return report.problem("index.html", "the site has no overview");
  const next = ["index.html"];
  while (next.length > 0) {
    const page = next.pop();
    if (reached.has(page)) continue;
    reached.add(page);
    next.push(...document(page).leadsTo);
  }
  for (const page of pages) {
    if (!reached.has(page) && page !== "404.html") report.problem(page, "no way of links leads here from index.html");
  }
}
