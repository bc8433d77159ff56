// Uses the form for a viewer's own readings as a viewer does, and says what
// does not answer. Where the page has no such form, there is nothing to do.
import { readFileSync } from "node:fs";

/** Types, mends, chooses and saves; gives the text of the file that was saved, or undefined. */
export async function useYours(page, say) {
  const form = page.locator("[data-yours], [data-yours-save]");
  if ((await form.count()) === 0) return undefined;
  // In the one-file version the page is an article that has to be asked for.
  await page.evaluate(() => {
    const article = document.querySelector("[data-yours]").closest("article");
    if (article) location.hash = article.id;
  });
  const entries = form.locator("[data-at]");
  if ((await entries.count()) === 0) return undefined;
  const text = async (place) => (await place.textContent()).trim();
  const expect = (good, what) => good || say(`own readings: ${what}`);

  // A line whose workload the baseline has read: its own reading, and two beside it.
  let entry, value;
  for (let i = 0; i < (await entries.count()) && !entry; i++) {
    const number = (await text(entries.nth(i).locator(".beside-value"))).replace(/[\u202f\u00a0](?=\d)/g, "").replace("−", "-").match(/^-?\d+(?:[.,]\d+)?/);
    if (number && (await text(entries.nth(i).locator(".mine .tag")))) [entry, value] = [entries.nth(i), number[0].replace(",", ".")];
  }
  if (!entry) return undefined;
  const input = entry.locator("input");
  const [own, against, standing, problem] = [".own", ".against", ".standing", ".problem"].map((part) => entry.locator(part));

  await input.fill(value);
  expect(/\d/.test(await text(against)), `${value} gives no figure beside the baseline`);
  expect(/\S/.test(await text(standing)), `${value} stands nowhere among the configurations`);
  await input.fill(`${value} ${value.replace(".", ",")};${value}`);
  expect(/\b3\b/.test(await text(own.locator("small"))), `three repeats count as "${await text(own)}"`);

  await input.fill("fast ");
  expect((await text(problem)).includes("fast"), "nothing is said beside a field in which a word stands");
  expect((await input.getAttribute("aria-invalid")) === "true", "a field in which a word stands is not marked");
  expect((await problem.getAttribute("aria-live")) === "polite", "what is wrong in a field is not told aloud");
  const save = form.locator("[data-save]");
  await save.click();
  expect(await input.evaluate((node) => node === document.activeElement), "saving does not lead to the field that is wrong");
  await input.fill(`${value} ${value}`);
  expect((await input.getAttribute("aria-invalid")) === "false" && (await text(problem)) === "", "a field that was mended is still called wrong");

  const choice = form.locator("select");
  const last = (await choice.locator("option").count()) - 1;
  await choice.selectOption({ index: last });
  expect((await text(entry.locator(".beside-name"))) === (await text(choice.locator("option").nth(last))), "another configuration is chosen and not shown");

  // A name that a spreadsheet would run, and none, are refused.
  const fields = form.locator("[data-field]");
  const field = (name) => form.locator(`[data-field="${name}"]`);
  for (const name of ["", "=1+1"]) {
    await field("viewer").locator("input").fill(name);
    await field("machine").locator("input").fill("a machine of one's own, “quoted”");
    await save.click();
    expect(/\S/.test(await text(field("viewer").locator(".problem"))), `the name "${name}" is not refused`);
  }
  expect((await fields.count()) === 4, `${await fields.count()} fields about the readings, not 4`);
  await field("viewer").locator("input").fill("Marsh, by the river");
  await field("date").locator("input").fill("2031-04-09");
  await field("note").locator("input").fill('taken at "night"');
  const [download] = await Promise.all([page.waitForEvent("download", { timeout: 10_000 }), save.click()]);
  const saved = readFileSync(await download.path(), "utf8");
  const rows = saved.trimEnd().split("\n");
  expect(download.suggestedFilename() === "marsh-by-the-river.csv", `the file is called ${download.suggestedFilename()}`);
  expect(rows[0] === "viewer,machine,workload,value,unit,date,note", `the file begins with "${rows[0]}"`);
  expect(rows.length === 3, `the file has ${rows.length - 1} rows for 2 readings`);
  expect(rows.slice(1).every((row) => row.startsWith('"Marsh, by the river","a machine of one\'s own, “quoted”",') || row.startsWith('"Marsh, by the river"')), `a row reads "${rows[1]}"`);
  expect(!/(^|,)"?[=+@]/m.test(saved), "a cell of the file begins as a formula does");
  return saved;
}
