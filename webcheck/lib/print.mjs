// A sheet of A4 with the margins of the style sheet is some 680 px wide. What is
// wider makes a browser shrink the whole page.

/** Lays the page out as on paper, and says which tables go beyond the sheet and what small print is larger than its surroundings. */
export async function checkPrint(page, say) {
  await page.setViewportSize({ width: 680, height: 960 });
  await page.emulateMedia({ media: "print" });
  const found = await page.evaluate(() => ({
    wide: Array.from(document.querySelectorAll("table"))
      .filter((table) => table.tHead?.rows[0].cells.length <= 12 && table.getBoundingClientRect().right > innerWidth + 1)
      .map((table) => `${table.id} by ${Math.round(table.getBoundingClientRect().right - innerWidth)} px`),
    large: Array.from(document.querySelectorAll("small"))
      .filter((small) => parseFloat(getComputedStyle(small).fontSize) > parseFloat(getComputedStyle(small.parentElement).fontSize) + 0.01).length,
  }));
  for (const table of found.wide) say(`printed: the table ${table} is wider than the sheet`);
  if (found.large > 0) say(`printed: ${found.large} pieces of small print are larger than what they stand in`);
  await page.emulateMedia({ media: "screen" });
}
