// Lighthouse over named pages: 100 in each category, or a problem that lists
// what cost points. Performance is a measurement on a machine that may be
// busy for minutes, so a page has ten tries with longer and longer rests between
// them; the best counts, and each try is printed.
import { resolve } from "node:path";
import * as chromeLauncher from "chrome-launcher";
import lighthouse from "lighthouse";
import { chromiumFlags, chromiumPath } from "./lib/chromium.mjs";
import { commandLine, giveUp, Report } from "./lib/report.mjs";
import { encodePath, isFolder, serveSite, siteFiles } from "./lib/site.mjs";

const usage = `usage: node lighthouse.mjs SITE [PAGE…] [--desktop] [--tries N]
Runs Lighthouse over pages of a site folder (index.html if none is named), served below a sub-path with gzip,
as a phone on a slow network; with --desktop as a desktop. The best of N (10) tries counts.`;
const options = commandLine("lighthouse", usage, { values: ["tries"], flags: ["desktop"] });
const [folder, ...named] = options.rest;
const root = resolve(folder);
if (!isFolder(root)) giveUp("lighthouse", `"${folder}" is not a folder`);
const pages = named.length > 0 ? named : ["index.html"];
const files = new Set(siteFiles(root));
for (const page of pages) if (!files.has(page)) giveUp("lighthouse", `the site has no page "${page}"`);
const tries = Number(options.tries ?? 10);
if (!(tries >= 1)) giveUp("lighthouse", "--tries takes a number above 0");
const executable = chromiumPath();
if (!executable) giveUp("lighthouse", "no Chromium found: install it, or name it in the variable CHROMIUM");

const categories = ["performance", "accessibility", "best-practices", "seo"];
const report = new Report("lighthouse");
const server = await serveSite(root);
const chrome = await chromeLauncher.launch({
  chromePath: executable,
  chromeFlags: [...chromiumFlags, "--headless=new"],
  logLevel: "silent",
});
try {
  for (const page of pages) await check(page);
} finally {
  chrome.kill();
  await server.close();
}
report.close(`${pages.length} ${pages.length === 1 ? "page" : "pages"}, ${options.desktop ? "desktop" : "phone"}`);

async function check(page) {
  const best = new Map();
  for (let attempt = 1; attempt <= tries; attempt++) {
    const run = await lighthouse(server.url + encodePath(page), {
      port: chrome.port,
      onlyCategories: categories,
      // robots.txt lies at the host's root, where a site below a sub-path has no say; and Lighthouse asks for it in
      // the page's name, which a policy without connect-src forbids.
      skipAudits: ["robots-txt"],
      logLevel: "silent",
      output: "json",
      ...(options.desktop
        ? { formFactor: "desktop", screenEmulation: { mobile: false, width: 1350, height: 940, deviceScaleFactor: 1, disabled: false }, throttling: { rttMs: 40, throughputKbps: 10240, cpuSlowdownMultiplier: 1, requestLatencyMs: 0, downloadThroughputKbps: 0, uploadThroughputKbps: 0 } }
        : {}),
    });
    const result = run.lhr;
    if (result.runtimeError) {
      report.problem(page, `could not be measured: ${result.runtimeError.message}`);
      return;
    }
    for (const id of categories) {
      const score = Math.round((result.categories[id].score ?? 0) * 100);
      if (score > (best.get(id)?.score ?? -1)) best.set(id, { score, lost: lost(result, id) });
    }
    console.log(`  ${page}, try ${attempt}: ${categories.map((id) => `${id} ${Math.round((result.categories[id].score ?? 0) * 100)}`).join(", ")}`);
    // Only performance changes from try to try.
    if (best.get("performance").score === 100) break;
    if (attempt < tries) await new Promise((done) => setTimeout(done, 3000 * attempt));
  }
  for (const [id, { score, lost }] of best) if (score < 100) report.problem(page, `${id} ${score} of 100: ${lost}`);
}

/** What cost a category its points. */
function lost(result, id) {
  return result.categories[id].auditRefs
    .filter((ref) => ref.weight > 0)
    .map((ref) => result.audits[ref.id])
    .filter((audit) => audit.score !== null && audit.score < 1)
    .map((audit) => `${audit.id}${audit.displayValue ? ` (${audit.displayValue})` : ""}`)
    .join(", ");
}
