// Does every page work for every reader? Headless Chromium opens each page of
// the site in many ways: wide and narrow, light and dark, with scripts and
// without, from a host's sub-path and from disk, with doubled text, by
// keyboard, by pointer, and through axe-core.
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";
import { useBaselines } from "./lib/baseline.mjs";
import { checkOtherBaseline, checkSorting, useComparison } from "./lib/choices.mjs";
import { chromiumFlags, chromiumPath } from "./lib/chromium.mjs";
import * as inPage from "./lib/inpage.mjs";
import { commandLine, giveUp, Report } from "./lib/report.mjs";
import { checkPrint } from "./lib/print.mjs";
import { useYours } from "./lib/yours.mjs";
import { encodePath, isFolder, serveSite, sitePages, spreadPages } from "./lib/site.mjs";

const usage = `usage: node browser.mjs SITE [--themes a,b] [--limit N] [--only TEXT] [--shots DIR] [--shots-only] [--saved FILE] [--jobs N]
Opens every page of a site folder in headless Chromium (the variable CHROMIUM, or /usr/bin/chromium).
  --themes a,b   SITE holds one published site per theme, in folders of these names
  --limit N      at most N pages of each site, spread over its folders
  --only TEXT    only pages whose path holds the text
  --shots DIR    save full-page pictures (desktop and phone, light and dark, without scripts) and a print PDF
  --shots-only   make the pictures and check nothing
  --saved FILE   keep what the form for a viewer's own readings saves
  --jobs N       pages at a time (2)`;
const options = commandLine("browser", usage, { values: ["themes", "limit", "only", "shots", "saved", "jobs"], flags: ["shots-only"] });
const executablePath = chromiumPath();
if (!executablePath) giveUp("browser", "no Chromium found: install it, or name it in the variable CHROMIUM");
if (options["shots-only"] && !options.shots) giveUp("browser", "--shots-only needs --shots DIR");
const jobs = Number(options.jobs ?? 2);
const limit = options.limit === undefined ? 0 : Number(options.limit);
if (!(jobs >= 1) || !(limit >= 0)) giveUp("browser", "--jobs and --limit take a number");

const wide = { name: "desktop", width: 1280, height: 800 };
const phone = { name: "phone", width: 390, height: 844 };
const narrow = { name: "narrow", width: 320, height: 640 };
const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const tabStops = 40;

const report = new Report("browser");
const browser = await chromium.launch({ executablePath, args: chromiumFlags, headless: true });
const tally = { pages: 0, loads: 0, unsure: new Set(), forms: 0, cells: 0 };
try {
  for (const theme of options.themes ? options.themes.split(",") : [""]) await checkSite(theme);
} finally {
  await browser.close();
}
const unsure = tally.unsure.size > 0 ? `, axe-core left undecided: ${[...tally.unsure].sort().join(", ")}` : "";
const cells = tally.cells > 0 ? `, ${tally.cells} cells against another baseline` : "";
const forms = tally.forms > 0 ? `, ${tally.forms} times readings typed in` : "";
report.close(`${tally.pages} pages opened ${tally.loads} times${cells}${forms}${unsure}`);

async function checkSite(theme) {
  const folder = resolve(join(options.rest[0], theme));
  if (!isFolder(folder)) giveUp("browser", `"${join(options.rest[0], theme)}" is not a folder`);
  const pages = spreadPages(
    sitePages(folder).filter((page) => !options.only || page.includes(options.only)),
    limit,
  );
  if (pages.length === 0) giveUp("browser", `no page to open in "${join(options.rest[0], theme)}"`);
  const server = await serveSite(folder);
  const queue = [...pages];
  const work = async () => {
    for (let page = queue.shift(); page !== undefined; page = queue.shift()) {
      const site = { folder, page, label: theme ? `${theme}/${page}` : page, server, url: server.url + encodePath(page) };
      if (!options["shots-only"]) await checkPage(site);
      if (options.shots) await takePictures(site, join(resolve(options.shots), theme));
      tally.pages++;
    }
  };
  try {
    await Promise.all(Array.from({ length: Math.min(jobs, pages.length) }, work));
  } finally {
    await server.close();
  }
}

async function checkPage(site) {
  for (const scheme of ["light", "dark"]) {
    for (const size of [wide, phone, narrow]) {
      await open(site, { size, scheme }, async (page, say) => {
        if (size === wide && scheme === "light") await checkFacts(page, say);
        await page.evaluate(inPage.scrollThrough);
        await checkShifts(page, say);
        await checkOverflow(page, say);
        if (size !== narrow) {
          await checkFocus(page, say);
          if (scheme === "light") {
            await exercise(page);
            await page.evaluate(inPage.doubleText);
            await page.waitForTimeout(50);
            await checkOverflow(page, (what) => say(`with text at 200 %: ${what}`));
          }
        }
      });
      if (size !== narrow) await open(site, { size, scheme, axe: true }, checkAxe);
    }
  }
  for (const size of [wide, phone, narrow]) {
    await open(site, { size, scheme: "light", script: false }, async (page, say) => {
      if (size === wide) await checkFacts(page, say);
      await checkOverflow(page, say);
      await page.emulateMedia({ colorScheme: "dark" });
      await checkOverflow(page, (what) => say(`turned dark: ${what}`));
      if (size === narrow) await checkPrint(page, say);
    });
  }
  await open(site, { size: wide, scheme: "light", disk: true }, async (page, say) => {
    await checkFacts(page, say);
    await page.evaluate(inPage.scrollThrough);
    await exercise(page);
  });
  for (const disk of [false, true]) {
    await open(site, { size: disk ? phone : wide, scheme: "dark", disk }, async (page, say) => {
      tally.cells += await useBaselines(page, say);
      await checkOtherBaseline(page, say);
      await useComparison(page, say);
      await checkSorting(page, say);
      const saved = await useYours(page, say);
      if (saved === undefined) return;
      tally.forms++;
      await checkOverflow(page, (what) => say(`with readings typed in: ${what}`));
      if (options.saved) writeFileSync(options.saved, saved);
    });
  }
}

/**
 * Opens a page and looks at it, and reports what was wrong. A machine that is too busy draws late and answers late: a
 * look that did not come to its end, and one that saw something wrong with what is drawn, is taken once more. What is
 * seen twice is a problem, what is seen once is told. An error of a script needs no second time.
 */
async function open(site, way, look) {
  const { size, scheme, script = true, disk = false } = way;
  const how = [size.name + " " + size.width, scheme, ...(script ? [] : ["no script"]), ...(disk ? ["from disk"] : [])].join(", ");
  const lookOnce = async () => {
    const seen = { found: new Set(), whole: true };
    try {
      await openOnce(site, way, look, (what) => seen.found.add(what), (what) => report.problem(site.label, `${what} [${how}]`));
    } catch (error) {
      seen.found.add(`could not be checked: ${error.message.split("\n")[0]}`);
      seen.whole = false;
    }
    return seen;
  };
  const first = await lookOnce();
  if (first.found.size === 0) return;
  const second = await lookOnce();
  const kind = (what) => what.replace(/\d[\d.]*/g, "0"); // the size of what is wrong may be another the second time
  const among = (what, seen) => [...seen.found].some((other) => kind(other) === kind(what));
  for (const what of second.found) {
    if (!second.whole || !first.whole || among(what, first)) report.problem(site.label, `${what} [${how}]`);
    else console.log(`${site.label}: seen once: ${what} [${how}]`);
  }
  for (const what of first.found) if (!among(what, second)) console.log(`${site.label}: seen once: ${what} [${how}]`);
}

/**
 * Opens a page in a context of its own, runs `look(page, say)` on it and tells what went wrong meanwhile: errors in
 * the console, uncaught exceptions, violations of the policy, requests off the site, answers that are no success.
 */
async function openOnce(site, { size, scheme, script = true, disk = false, axe = false }, look, say, tell) {
  tally.loads++;
  const context = await browser.newContext({
    viewport: { width: size.width, height: size.height },
    colorScheme: scheme,
    javaScriptEnabled: script,
    bypassCSP: axe,
    // A colour half-way through a transition is nobody's choice.
    reducedMotion: axe ? "reduce" : "no-preference",
    serviceWorkers: "block",
    acceptDownloads: true,
  });
  try {
    const page = await context.newPage();
    const home = disk ? pathToFileURL(site.folder).href + "/" : site.server.url;
    page.on("console", (message) => {
      // Errors of loading come with their address, from the events below.
      if (message.type() === "error" && !/^Failed to load resource/.test(message.text())) tell(`console error: ${message.text()}`);
    });
    page.on("pageerror", (error) => tell(`uncaught exception: ${error.message}`));
    page.on("request", (request) => {
      const address = request.url();
      if (!address.startsWith(home) && !/^(data|blob|about):/.test(address)) tell(`request off the site: ${shorten(address)}`);
    });
    page.on("requestfailed", (request) => {
      // A download and a page left in the middle of loading are no failures.
      if (!/ERR_ABORTED/.test(request.failure()?.errorText ?? "")) tell(`request failed: ${shorten(request.url(), home)} ${request.failure()?.errorText}`);
    });
    page.on("response", (response) => {
      if (response.status() >= 400) tell(`answer ${response.status()} for ${shorten(response.url(), home)}`);
    });
    page.on("dialog", (dialog) => dialog.dismiss().catch(() => {}));
    if (script) await page.addInitScript(inPage.watch);
    await page.goto(disk ? home + encodePath(site.page) : site.url, { waitUntil: "load", timeout: 30_000 });
    await within(180_000, look(page, say));
    if (script) {
      for (const violation of await page.evaluate(() => window.__webcheck?.violations ?? [])) tell(`policy violation: ${violation}`);
    }
  } finally {
    await context.close();
  }
}

/** The promise's result, or an error once the time is over: a page that hangs is a problem, not a wait. */
function within(milliseconds, promise) {
  let timer;
  const late = new Promise((_, fail) => {
    timer = setTimeout(() => fail(new Error(`no end after ${milliseconds / 1000} s`)), milliseconds);
  });
  return Promise.race([promise, late]).finally(() => clearTimeout(timer));
}

function shorten(address, home = "") {
  const short = home && address.startsWith(home) ? address.slice(home.length) : address;
  return short.length > 120 ? short.slice(0, 117) + "…" : short;
}

async function checkFacts(page, say) {
  const facts = await page.evaluate(inPage.facts);
  if (facts.h1 !== 1) say(`has ${facts.h1} h1, not one`);
  else if (facts.h1Shown !== 1) say("its h1 is not shown");
  if (!facts.title) say("has no title");
  if (!facts.lang) say("names no language");
  if (facts.policy === undefined) say("carries no Content-Security-Policy");
  else {
    if (!/(^|;)\s*default-src 'none'/.test(facts.policy)) say("its policy does not start from default-src 'none'");
    if (/'unsafe-|\*|https?:/.test(facts.policy)) say(`its policy allows too much: ${facts.policy}`);
    if (!facts.policyFirst) say("its policy comes after something that it should govern");
  }
}

async function checkShifts(page, say) {
  const shifts = await page.evaluate(() => window.__webcheck.shifts);
  const total = shifts.reduce((sum, shift) => sum + shift.value, 0);
  if (total > 0) say(`layout shifts by ${total.toFixed(4)}: ${[...new Set(shifts.flatMap((shift) => shift.nodes))].slice(0, 4).join(", ")}`);
}

async function checkOverflow(page, say) {
  const found = await page.evaluate(inPage.overflow);
  if (found) say(`is ${found.by} px wider than the window: ${found.names.join(", ")}`);
}

/** Tabs through the page: every stop must be in the window and look focused, and the first must skip to the content. */
async function checkFocus(page, say) {
  await page.evaluate(() => window.scrollTo(0, 0));
  let first;
  for (let stop = 0; stop < tabStops; stop++) {
    await page.keyboard.press("Tab");
    const focus = await page.evaluate(inPage.focusLook);
    if (!focus) break;
    if (stop > 0 && focus.name === first) break;
    first ??= focus.name;
    if (stop === 0 && !focus.skips) say(`the first tab stop is ${focus.name}, not a link that skips to the content`);
    if (!focus.seen) say(`focus cannot be seen on ${focus.name}`);
    if (!focus.inWindow) say(`focus lies outside the window on ${focus.name}`);
  }
  await page.evaluate(() => document.activeElement?.blur());
}

async function checkAxe(page, say) {
  // Charts that start when they are seen should be what axe-core sees, too.
  await page.evaluate(inPage.scrollThrough);
  await page.evaluate(axeSource);
  const result = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations", "incomplete"], rules: { "target-size": { enabled: true } } }));
  for (const violation of result.violations) {
    for (const node of violation.nodes.slice(0, 5)) {
      const reason = (node.any[0] ?? node.all[0] ?? node.none[0])?.message ?? violation.help;
      say(`axe-core ${violation.id}: ${node.target.join(" ")}: ${reason}`);
    }
  }
  for (const undecided of result.incomplete) tally.unsure.add(undecided.id);
}

/** Uses what the page offers: rests the pointer on charts, presses buttons, turns selections; errors are collected by `open`. */
async function exercise(page) {
  const address = page.url().split(/[?#]/)[0];
  for (const box of await page.evaluate(inPage.pointerPlaces)) {
    if (box.width < 8 || box.height < 8) continue;
    await page.evaluate(([x, y]) => window.scrollTo({ left: x, top: y, behavior: "instant" }), [0, Math.max(0, box.y - 100)]);
    const [left, top] = await page.evaluate(() => [window.scrollX, window.scrollY]);
    for (const part of [0.25, 0.5, 0.8]) {
      await page.mouse.move(box.x - left + box.width * part, box.y - top + Math.min(box.height, 600) * 0.5);
      await page.waitForTimeout(30);
    }
  }
  await page.mouse.move(0, 0);
  const selections = page.locator("select:visible");
  for (let i = 0; i < Math.min(await selections.count(), 5); i++) {
    const last = await selections.nth(i).evaluate((select) => select.options.length - 1);
    if (last > 0) await selections.nth(i).selectOption({ index: last }, { timeout: 2000 }).catch(() => {});
  }
  const buttons = page.locator("button:visible:enabled, summary:visible");
  for (let i = 0; i < Math.min(await buttons.count(), 25); i++) {
    await buttons.nth(i).click({ timeout: 1000, noWaitAfter: true }).catch(() => {});
    if (page.url().split(/[?#]/)[0] !== address) await page.goBack({ waitUntil: "load" });
  }
  await page.keyboard.press("Escape");
  await page.waitForTimeout(50);
}

async function takePictures(site, folder) {
  mkdirSync(folder, { recursive: true });
  const name = site.page.replace(/\.html$/, "").replaceAll("/", "--");
  const kinds = [];
  for (const size of [wide, phone]) {
    for (const scheme of ["light", "dark"]) kinds.push({ size, scheme, script: true });
    kinds.push({ size, scheme: "light", script: false });
  }
  for (const { size, scheme, script } of kinds) {
    const context = await browser.newContext({
      viewport: { width: size.width, height: size.height },
      colorScheme: scheme,
      javaScriptEnabled: script,
      reducedMotion: "reduce",
    });
    const page = await context.newPage();
    await page.goto(site.url, { waitUntil: "load" });
    if (script) await page.evaluate(inPage.scrollThrough); // no timers run without scripts
    await page.waitForTimeout(200);
    await page.screenshot({ path: join(folder, `${name}--${size.name}-${script ? scheme : "noscript"}.png`), fullPage: true });
    if (size === wide && scheme === "light" && script) {
      await page.pdf({ path: join(folder, `${name}--print.pdf`), format: "A4", preferCSSPageSize: true, printBackground: false });
    }
    await context.close();
  }
}
