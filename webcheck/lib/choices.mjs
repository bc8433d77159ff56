// What pages say once a viewer has chosen: on the compare page, of a
// configuration beside itself; on the overview, of what another baseline leaves
// as it was; in both, what is told aloud.

/** Chooses on the compare page, and says what does not answer. */
export async function useComparison(page, say) {
  const [from, to] = [page.locator("#compare-from, #compare--compare-from"), page.locator("#compare-to, #compare--compare-to")];
  if ((await from.count()) === 0 || (await from.locator("option").count()) < 2) return;
  await page.evaluate(() => {
    const article = document.querySelector("[data-comparison]").closest("article");
    if (article) location.hash = article.id;
  });
  const expect = (good, what) => good || say(`comparing: ${what}`);
  const place = page.locator("[data-comparison]");
  const said = place.locator("[role=status]");
  expect((await place.locator("[aria-live]").count()) === 0, "all of the comparison is told aloud");
  const first = await from.inputValue();
  await to.selectOption(first);
  expect((await place.locator("table").count()) === 0, "a configuration is compared with itself");
  await to.selectOption({ index: first === "0" ? 1 : 0 });
  expect((await place.locator("table").count()) === 1, "there is no table of two configurations");
  expect(/\S/.test(await said.textContent()) && (await said.textContent()).length < 1000, "not one sentence is told aloud");
  await page.waitForTimeout(100);
  const unmarked = await place.locator(".scroll").evaluateAll((boxes) => boxes.some((b) => b.scrollWidth > b.clientWidth + 2 && !b.classList.contains("goes-on")));
  expect(!unmarked, "a table that goes on beyond its edge does not say so");
}

/** Holds what stays beside another baseline against what the overview says. */
export async function checkOtherBaseline(page, say) {
  const select = page.locator('[data-controls="relative"] #baseline');
  if ((await select.count()) === 0) return;
  const states = await page.evaluate(() => {
    const select = document.getElementById("baseline"), data = window.benchwrightData;
    const read = data.cells.map((row) => row.some(Array.isArray));
    return { wrong: read.findIndex((r, i) => select.options[i].disabled === r), other: read.findIndex((r, i) => r && i !== data.baseline) };
  });
  if (states.wrong >= 0) say(`another baseline: option ${states.wrong} can be chosen without a reading, or not with one`);
  if (states.other < 0) return;
  const own = await select.inputValue();
  const runs = () => page.locator("#relative tbody th small:not(.differs)").allTextContents();
  const before = (await runs()).sort().join();
  await select.selectOption(String(states.other));
  await page.waitForFunction(() => document.getElementById("relative").filling === undefined, null, { timeout: 30_000 });
  if ((await runs()).sort().join() !== before) say("another baseline: how a configuration's runs went is no longer said");
  const parts = page.locator("[data-own-baseline]");
  if ((await parts.count()) !== (await parts.locator(".own-baseline").count())) say("another baseline: the picture does not say that it is against the report's own");
  await select.selectOption(own);
  await page.waitForFunction(() => document.getElementById("relative").filling === undefined, null, { timeout: 30_000 });
  if ((await parts.locator(".own-baseline").count()) > 0) say("the published baseline again: the picture is still marked");
}

/** Sorts a table and says when nobody is told. */
export async function checkSorting(page, say) {
  const button = page.locator("table.sorts:visible button.sort:visible").first();
  if ((await button.count()) === 0) return;
  const name = await button.getAttribute("aria-label");
  const head = await button.evaluate((b) => b.closest("th").firstChild.textContent.trim());
  if (name === head || !name.includes(head)) say(`sorting: the button of "${head}" is called "${name}"`);
  await button.click();
  const told = await button.evaluate((b) => b.closest(".scroll").querySelector("[role=status]")?.textContent ?? "");
  if (!told.includes(head)) say(`sorting: by "${head}" is told as "${told}"`);
}
