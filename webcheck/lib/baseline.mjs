// Chooses other baselines in the overview's table as a viewer does, sorts by
// what came, and says which cells do not show the figure that they should.
// Where the page has no such choice, there is nothing to do.

/** Says what is wrong; gives the number of cells compared. */
export async function useBaselines(page, say) {
  const select = page.locator('[data-controls="relative"] #baseline');
  if ((await select.count()) === 0 || (await page.locator("table#relative").count()) === 0) return 0;
  await page.evaluate(() => {
    const article = document.querySelector("#baseline").closest("article");
    if (article) location.hash = article.id;
  });
  const published = await page.evaluate(readTable);
  const own = await select.inputValue();
  const open = await select.locator("option:not([disabled])").evaluateAll((options) => options.map((o) => +o.value));
  const count = open.length;
  let compared = 0;
  for (const choice of new Set([open[count - 1], open[Math.floor(count / 2)]])) {
    if (String(choice) === own) continue;
    await select.selectOption(String(choice));
    // A hand that goes on while the rest still comes in.
    if (choice === open[count - 1]) await page.locator("#relative button.sort").nth(1).click();
    await filled(page);
    const result = await page.evaluate(compareTable, choice);
    compared += result.compared;
    for (const what of result.wrong.slice(0, 5)) say(`another baseline: ${what}`);
  }
  await select.selectOption(own);
  await filled(page);
  const back = await page.evaluate(readTable);
  for (const [name, cells] of Object.entries(published)) {
    if (back[name] !== cells) say(`the published baseline again: "${name}" reads "${back[name]}" and not "${cells}"`);
  }
  // A baseline without readings gives no figure; two such would be a strange report.
  if (count > 1 && compared === 0) say("another baseline: no cell with a figure");
  return compared;
}

const filled = (page) => page.waitForFunction(() => document.getElementById("relative").filling === undefined, null, { timeout: 30_000 });

function readTable() {
  const table = document.getElementById("relative");
  return Object.fromEntries(Array.from(table.tBodies[0].rows, (row) => [
    row.cells[0].querySelector("a")?.textContent ?? row.cells[0].textContent,
    Array.from(row.cells, (cell) => cell.className + ":" + cell.textContent.replace(/\s+/g, " ").trim()).join(" | "),
  ]));
}

// In the page: the figures computed afresh, column by column, against what the cells show.
function compareTable(b) {
  const data = window.benchwrightData, f = window.benchwrightFigures(data);
  const every = data.configurations.map((_, c) => c);
  const columns = data.composites.map((_, k) => f.correct(every.map((c) => f.composite(k, b, c))))
    .concat(data.workloads.map((w, i) => (w.interval ? null : f.correct(every.map((c) => f.relative(b, c, i))))));
  const table = document.getElementById("relative");
  const wrong = [];
  let compared = 0;
  for (const row of table.tBodies[0].rows) {
    if (row.classList.contains("baseline") !== (row.at === b)) wrong.push(`row ${row.at} and being the baseline`);
    columns.forEach((column, k) => {
      if (!column) return;
      const x = column[row.at], cell = row.cells[k + 1];
      const shown = cell.firstChild?.textContent.replace(/[\u2007\u2008]/g, "") ?? "";
      if (x.value === undefined) return;
      compared++;
      const alike = row.at !== b && x.verdict === "same";
      const wanted = (alike ? "≈ " : "") + x.short;
      if (shown !== wanted || cell.classList.contains("alike") !== alike) wrong.push(`row ${row.at}, column ${k + 1} shows "${shown}" and not "${wanted}"`);
    });
  }
  // The rows stand as the sorted column says.
  const sorted = table.tHead.querySelector("[aria-sort]");
  if (sorted && columns[sorted.cellIndex - 1]) {
    const values = Array.from(table.tBodies[0].rows, (row) => columns[sorted.cellIndex - 1][row.at].value).filter((v) => v !== undefined);
    const sign = sorted.getAttribute("aria-sort") === "descending" ? -1 : 1;
    if (values.some((v, i) => i > 0 && sign * (v - values[i - 1]) < 0)) wrong.push("the rows are not in the order that the head tells");
  }
  return { wrong, compared };
}
