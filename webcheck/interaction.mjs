// How long a reader waits after the first touch of the overview's table: from
// the input to the next picture, as the browser's Event Timing (W3C) gives it,
// in steps of 8 ms. A measurement, not a check: it prints, and passes nothing.
import { resolve } from "node:path";
import { chromium } from "playwright-core";
import { chromiumFlags, chromiumPath } from "./lib/chromium.mjs";
import { commandLine, giveUp } from "./lib/report.mjs";
import { isFolder, serveSite } from "./lib/site.mjs";

const usage = `usage: node interaction.mjs SITE [--tries N]
Opens the overview anew for each of N (5) tries and measures the first sorting, and the first choice of another baseline.`;
const options = commandLine("interaction", usage, { values: ["tries"] });
const root = resolve(options.rest[0]);
if (!isFolder(root)) giveUp("interaction", `"${options.rest[0]}" is not a folder`);
const tries = Number(options.tries ?? 5);
if (!(tries >= 1)) giveUp("interaction", "--tries takes a number above 0");
const executablePath = chromiumPath();
if (!executablePath) giveUp("interaction", "no Chromium found: install it, or name it in the variable CHROMIUM");

const actions = {
  "sort by the first workload": (page) => page.locator("table.relative button.sort").nth(1).click(),
  "choose the last baseline": async (page) => {
    // The list of a selection is drawn outside the page, where no pointer of ours reaches: keys do the same.
    await page.locator('[data-controls="relative"] select').focus();
    await page.keyboard.press("End");
  },
};

const server = await serveSite(root);
const browser = await chromium.launch({ executablePath, args: chromiumFlags, headless: true });
try {
  for (const [name, act] of Object.entries(actions)) {
    const took = [];
    for (let i = 0; i < tries; i++) took.push(await measure(act));
    took.sort((a, b) => a - b);
    console.log(`${name}: median ${took[Math.floor(took.length / 2)]} ms (${took.join(", ")})`);
  }
} finally {
  await browser.close();
  await server.close();
}

/** The longest of the events that one action makes, in ms. */
async function measure(act) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  const page = await context.newPage();
  await page.goto(`${server.url}index.html`, { waitUntil: "load" });
  await page.evaluate(() => {
    window.longest = 0;
    new PerformanceObserver((list) => {
      for (const event of list.getEntries()) window.longest = Math.max(window.longest, event.duration);
    }).observe({ type: "event", durationThreshold: 16, buffered: false });
  });
  await page.locator("table.relative").scrollIntoViewIfNeeded();
  await page.waitForTimeout(300);
  await act(page);
  await page.waitForTimeout(1500);
  const longest = await page.evaluate(() => window.longest);
  await context.close();
  return longest;
}
