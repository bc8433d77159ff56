// What every page gets on top of complete HTML: the light switch, sorting, and
// on the overview the choice of another baseline.
(function () {
  "use strict";
  const root = document.documentElement;

  // --- light and dark: the reader's system decides until the reader does ------

  function remembered() {
    try { return localStorage.getItem("colours"); } catch { return null; } // storage may be closed to pages from disk
  }
  function remember(colours) {
    try { localStorage.setItem("colours", colours); } catch { /* then it holds for this page */ }
  }
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const kept = remembered();
  if (kept === "light" || kept === "dark") root.dataset.colours = kept;
  const isDark = () => (root.dataset.colours ? root.dataset.colours === "dark" : dark.matches);
  const button = document.querySelector("button.colours");
  function label() { button.textContent = isDark() ? button.dataset.light : button.dataset.dark; }
  if (button) {
    label();
    button.disabled = false;
    button.addEventListener("click", () => {
      root.dataset.colours = isDark() ? "light" : "dark";
      remember(root.dataset.colours);
      label();
      document.dispatchEvent(new CustomEvent("colours"));
    });
    dark.addEventListener("change", () => { label(); document.dispatchEvent(new CustomEvent("colours")); });
  }

  // --- tables that go on beyond their right edge: a shadow says so ------------

  const beyond = (box) => box.scrollWidth - box.clientWidth - Math.abs(box.scrollLeft) > 2;
  const goesOn = (box) => box.classList.toggle("goes-on", beyond(box));
  const sizes = new ResizeObserver((seen) => {
    // All are measured before one is marked: a mark undoes the layout, and to
    // measure again makes it anew.
    const boxes = [...new Set(seen.map((s) => s.target.closest(".scroll")))];
    const marks = boxes.map(beyond);
    boxes.forEach((box, i) => box.classList.toggle("goes-on", marks[i]));
  });
  function watch(box) {
    sizes.observe(box);
    if (box.firstElementChild) sizes.observe(box.firstElementChild); // laid out late where it is out of sight
    box.addEventListener("scroll", () => goesOn(box), { passive: true });
  }
  document.querySelectorAll(".scroll").forEach(watch);
  window.benchwrightScroll = watch; // for those that a script makes

  // --- sorting ---------------------------------------------------------------

  const collator = new Intl.Collator(root.lang || undefined, { numeric: true });

  // A cell's key: the number that the page carries, else the number it starts
  // with, else its words; null for an empty cell and for a failure, which stay last.
  function key(cell) {
    if (!cell) return null;
    if (cell.key !== undefined) return cell.key;
    if (cell.dataset.v !== undefined) return cell.dataset.v === "" ? null : +cell.dataset.v;
    if (cell.classList.contains("failed") || cell.classList.contains("absent")) return null;
    const text = cell.textContent.trim();
    if (text === "") return null;
    if (!cell.classList.contains("n")) return text;
    const number = text.replace(/[\s\u202f\u00a0]/g, "").replace("−", "-").replace(",", ".").match(/^[+-]?[\d.]+/);
    return number ? +number[0] : text;
  }

  function compare(a, b, falling) {
    if (a.key === null || b.key === null) return a.key === b.key ? a.at - b.at : a.key === null ? 1 : -1;
    const order = typeof a.key === "number" && typeof b.key === "number" ? a.key - b.key : collator.compare(String(a.key), String(b.key));
    return (falling ? -order : order) || a.at - b.at;
  }

  function sortedRows(table, index, falling) {
    const rows = Array.from(rowsOf(table), (row, at) => ({ row, at: (row.at ??= at), key: key(row.cells[index]) }));
    const total = rows.filter((r) => r.row.classList.contains("total"));
    const rest = rows.filter((r) => !r.row.classList.contains("total")).sort((a, b) => compare(a, b, falling));
    return rest.concat(total).map((r) => r.row);
  }
  const sort = (table, index, falling) => order(table, sortedRows(table, index, falling));

  // Fixes the widths of a long table's columns, which must not move while rows
  // come in: in an idle moment, since all of the table is laid out anew, and at
  // the latest before anything else changes. Another window, other widths.
  function hold(table) {
    if (table.style.tableLayout === "fixed" || table.tBodies[0].rows.length <= screenful) return;
    const heads = Array.from(table.tHead.rows[0].cells);
    const widths = heads.map((h) => h.getBoundingClientRect().width);
    const rows = table.tBodies[0].rows, lowest = Math.min(rows[0].offsetHeight, rows[1].offsetHeight);
    if (lowest > 0) table.inSight = Math.min(screenful, Math.ceil(table.parentElement.clientHeight / lowest));
    table.style.width = table.getBoundingClientRect().width + "px";
    heads.forEach((h, i) => { h.style.width = widths[i] + "px"; });
    table.style.tableLayout = "fixed";
    addEventListener("resize", () => {
      [table, ...heads].forEach((node) => { node.style.width = ""; });
      table.style.tableLayout = "";
    }, { once: true });
  }

  // Puts rows in a new order. Of a long table the rows that the reader sees come
  // first and the rest bit by bit behind them, so that nobody waits for rows out
  // of sight; fill, if given, is called for each row on its way: for those in
  // sight with true, where what is out of sight sideways may wait, and later
  // for every row with false, once fill.settle() has nothing left to do. What an
  // earlier call left unfilled is filled by the next.
  const screenful = 20;
  function order(table, rows, fill = table.filling) {
    clearTimeout(table.pending);
    table.inOrder = rows; // some of them may not be in their place yet
    table.filling = fill;
    const first = rows.slice(0, table.inSight ?? screenful);
    if (fill) first.forEach((row) => fill(row, true));
    table.tBodies[0].prepend(...first);
    requestAnimationFrame(() => { table.parentElement.scrollTop = 0; });
    let at = first.length, filled = 0;
    const more = () => {
      if (fill && !fill.settle()) {
        table.pending = setTimeout(more);
        return;
      }
      const next = rows.slice(at, at + screenful);
      if (next.length > 0) rows[at - 1].after(...next);
      at += next.length;
      if (fill) for (; filled < at; filled++) fill(rows[filled], false);
      if (at < rows.length) table.pending = setTimeout(more);
      else table.filling = undefined;
    };
    table.pending = setTimeout(more, fill ? 100 : 200);
  }

  // A very long table shows its first rows until the reader asks for all of them:
  // with every row in the layout, every touch would take the time of all.
  function fold(table) {
    const scroll = table.parentElement, body = table.tBodies[0];
    if (!table.dataset.fold || scroll.scrollTop > 0 || table.contains(document.activeElement)) return;
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain-button whole";
    button.textContent = table.dataset.fold;
    button.addEventListener("click", () => {
      body.classList.remove("brief");
      button.remove();
      scroll.focus(); // where the keys scroll the rows that have come
    });
    body.classList.add("brief");
    table.after(button);
  }

  const rowsOf = (table) => table.inOrder ?? table.tBodies[0].rows;

  function sortable(table) {
    const heads = Array.from(table.tHead.rows[0].cells);
    const status = document.createElement("p");
    status.className = "aside";
    status.setAttribute("role", "status");
    table.parentElement.append(status);
    const phrase = (key, column) => document.body.dataset[key].replace("{column}", column);
    heads.forEach((head, index) => {
      if (head.classList.contains("still")) return;
      const name = head.firstChild.textContent.trim();
      const button = document.createElement("button");
      button.type = "button";
      button.className = "sort";
      button.setAttribute("aria-label", phrase("sort", name));
      head.append(button);
      button.addEventListener("click", () => {
        hold(table);
        // Numbers start with the largest, words with the first.
        const first = head.classList.contains("n") && !head.dataset.rising ? "descending" : "ascending";
        const now = head.getAttribute("aria-sort");
        const next = now === null ? first : now === "ascending" ? "descending" : "ascending";
        table.settle?.(index);
        heads.forEach((h) => h.removeAttribute("aria-sort"));
        head.setAttribute("aria-sort", next);
        sort(table, index, next === "descending");
        status.textContent = phrase(next === "descending" ? "falling" : "rising", name);
      });
    });
  }
  const idle = window.requestIdleCallback ?? setTimeout;
  document.querySelectorAll("table.sorts").forEach((table) => {
    sortable(table);
    idle(() => {
      hold(table);
      fold(table);
    });
  });

  // --- another baseline --------------------------------------------------------

  const controls = document.querySelector('[data-controls="relative"]');
  const table = document.getElementById("relative");
  if (controls && table && window.benchwrightFigures && window.benchwrightData) baseline();

  // Work that only a reader who does something needs: in the first idle moment
  // after a hand moved.
  function onceTouched(work) {
    const signs = ["pointermove", "touchstart", "keydown", "scroll"];
    const wake = () => {
      signs.forEach((sign) => removeEventListener(sign, wake));
      idle(work);
    };
    signs.forEach((sign) => addEventListener(sign, wake, { passive: true }));
  }

  function baseline() {
    const data = window.benchwrightData;
    const published = new Map(); // row number → its cells as published, once it has been refilled
    const choice = controls.querySelector(".choice");
    const said = controls.querySelector(".said");
    const select = document.createElement("select");
    select.id = "baseline";
    data.configurations.forEach((c, i) => {
      const option = new Option(c.label, String(i), i === data.baseline, i === data.baseline);
      option.disabled = !data.cells[i].some(Array.isArray); // nothing can be held against what was never read
      select.add(option);
    });
    const caption = document.createElement("label");
    caption.htmlFor = select.id;
    caption.textContent = choice.querySelector("span").textContent;
    choice.replaceChildren(caption, select);
    let f = null;
    const ready = () => (f ??= window.benchwrightFigures(data)); // summing up the readings waits for an idle moment
    onceTouched(() => {
      ready();
      // What every comparison needs of a cell is worked out a column at a time, too.
      let next = 0;
      const more = () => {
        if (next < data.workloads.length) {
          f.column(data.baseline, next++);
          idle(more);
        }
      };
      idle(more);
    });
    const rows = new Map(Array.from(table.tBodies[0].rows, (row, at) => [at, row]));
    rows.forEach((row, at) => { row.at = at; });

    select.addEventListener("change", () => {
      const b = +select.value;
      hold(table);
      ready();
      const fill = b === data.baseline ? restore() : recompute(b);
      const sorted = table.tHead.querySelector("[aria-sort]");
      if (sorted) table.settle?.(sorted.cellIndex);
      const current = sorted ? sortedRows(table, sorted.cellIndex, sorted.getAttribute("aria-sort") === "descending") : Array.from(rowsOf(table));
      order(table, current, fill);
      table.caption.firstElementChild.textContent = f.say("table.relative.caption", { baseline: data.configurations[b].label });
      const other = b !== data.baseline, own = data.configurations[data.baseline].label;
      said.textContent = other ? f.say("script.recomputed", { baseline: data.configurations[b].label }) + " " + f.say("script.own-baseline.rest", { baseline: own }) : f.say("script.published");
      document.querySelectorAll("[data-own-baseline]").forEach((part) => {
        part.querySelector(".own-baseline")?.remove();
        if (!other) return;
        const remark = document.createElement("p");
        remark.className = "own-baseline";
        remark.textContent = f.say("script.own-baseline", { baseline: own });
        part.querySelector("h2").after(remark);
      });
    });

    function restore() {
      table.settle = undefined;
      rows.forEach((row, c) => Array.from(row.cells, (cell, i) => {
        cell.key = undefined;
        if (published.has(c)) cell.key = key(published.get(c)[i]);
      }));
      const fill = (row) => {
        row.classList.toggle("baseline", row.at === data.baseline);
        if (published.has(row.at)) row.replaceChildren(...published.get(row.at).map((cell) => cell.cloneNode(true)));
      };
      fill.settle = () => true;
      return fill;
    }

    // Computes against baseline b what is needed first: of a long table the cells
    // in sight, and the column that the reader sorts by. Until its whole column is
    // known a figure stands without the claim that a correction could take back.
    function recompute(b) {
      const figure = data.composites.map((_, k) => (c) => f.composite(k, b, c, true))
        .concat(data.workloads.map((w, i) => (w.interval ? null : (c) => f.relative(b, c, i, true))));
      const columns = figure.map(() => []);
      const settled = new Set();
      const settle = (k) => {
        if (settled.has(k) || !figure[k]) return;
        settled.add(k);
        rows.forEach((row, c) => {
          columns[k][c] ??= figure[k](c);
          row.cells[k + 1].key = columns[k][c].value ?? null;
        });
        f.correct(columns[k]);
      };
      table.settle = (index) => settle(index - 1);
      const marks = table.querySelector("svg.iv") !== null; // few enough cells to finish all of them
      if (marks) figure.forEach((_, k) => { settle(k); columns[k].forEach((x) => x.complete?.()); });
      const span = marks ? spanOf(columns) : null;
      const widest = columns.map((x) => (marks ? Math.max(0, ...x.map((y) => fraction(y.short))) : 0));
      const scroll = table.parentElement, from = scroll.scrollLeft, to = from + scroll.clientWidth;
      const heads = Array.from(table.tHead.rows[0].cells);
      const seen = figure.map((_, k) => heads[k + 1].offsetLeft < to && heads[k + 1].offsetLeft + heads[k + 1].offsetWidth > from);
      const wasRead = (k, c) => (data.composites[k]?.workloads ?? [k - data.composites.length]).some((w) => f.centre(c, w) !== "");
      const refill = (row, inSight) => {
        const c = row.at;
        if (!published.has(c)) published.set(c, Array.from(row.cells, (cell) => cell.cloneNode(true)));
        row.classList.toggle("baseline", c === b);
        // Beside it stands how the runs went, which no baseline changes.
        row.cells[0].querySelector("small.differs")?.remove();
        const text = c === b ? f.say("table.baseline") : differs(b, c);
        if (text) row.cells[0].append(Object.assign(small(text), { className: "differs" }));
        figure.forEach((make, k) => {
          if (!make || (inSight && !marks && !seen[k])) return;
          const x = (columns[k][c] ??= make(c)), cell = row.cells[k + 1], alike = c !== b && settled.has(k) && x.verdict === "same";
          if (cell.shows === x && cell.alike === alike) return;
          cell.shows = x;
          cell.alike = alike;
          fill(cell, x, c === b, alike, span, widest[k]);
          if (x.value === undefined && x.state !== "failed" && wasRead(k, c) && !wasRead(k, b)) cell.replaceChildren("·", small(f.say("script.no-baseline")));
        });
      };
      // One column at a call; true once none is left.
      refill.settle = () => {
        const next = figure.findIndex((make, k) => make && !settled.has(k));
        if (next >= 0) settle(next);
        return next < 0;
      };
      return refill;
    }

    function differs(b, c) {
      const differences = f.between(b, c), n = differences.filter((d) => d.kind !== "follower").length;
      const unheld = f.unheld(b, c, differences).map((i) => data.factors[i].label).join(", ");
      return [n > 1 ? f.say("table.differs.other", { n: String(n) }) : "", unheld ? f.say("table.unheld", { factors: unheld }) : ""].filter(Boolean).join("; ");
    }

    function fraction(text) {
      const at = text === undefined ? -1 : text.lastIndexOf(data.decimal);
      return at < 0 ? 0 : text.length - at - 1;
    }

    function small(text) {
      const s = document.createElement("small");
      s.textContent = text;
      return s;
    }

    function fill(cell, x, own, alike, span, widest) {
      x.complete?.();
      cell.className = "n";
      delete cell.dataset.v;
      if (x.state === "failed") {
        cell.classList.add("failed");
        cell.textContent = "✕ " + x.text;
        return;
      }
      if (x.value === undefined) {
        cell.classList.add("absent");
        cell.textContent = "–";
        return;
      }
      cell.dataset.v = x.value;
      cell.classList.toggle("alike", alike);
      const n = fraction(x.short);
      const pad = n < widest ? (n === 0 ? "\u2008" : "") + "\u2007".repeat(widest - n) : "";
      cell.textContent = (alike ? "≈ " : "") + x.short + pad;
      if (own) return;
      if (x.interval) cell.append(small(f.plain(100 * x.low, x.decimals) + "–" + f.plain(100 * x.high, x.decimals)));
      else cell.append(small(f.say("page.one-reading")));
      if (span) cell.append(mark(x, span));
    }
  }

  // --- the small drawing of an interval -----------------------------------------

  function spanOf(columns) {
    let low = 1, high = 1;
    for (const column of columns) {
      for (const x of column ?? []) {
        if (!(x.value > 0)) continue;
        low = Math.min(low, x.low);
        high = Math.max(high, x.high);
      }
    }
    return (v) => 4 + ((Math.log(v) - Math.log(low)) / Math.max(1e-12, Math.log(high) - Math.log(low))) * 64;
  }

  function mark(x, at) {
    const ns = "http://www.w3.org/2000/svg";
    const draw = (name, attributes) => {
      const node = document.createElementNS(ns, name);
      for (const [k, v] of Object.entries(attributes)) node.setAttribute(k, v);
      return node;
    };
    const svg = draw("svg", { class: "iv", viewBox: "0 0 72 8", width: 72, height: 8, "aria-hidden": "true", focusable: "false" });
    const r = (v) => Math.round(v * 10) / 10;
    svg.append(draw("path", { class: "none", d: `M${r(at(1))} 0V8` }));
    if (x.interval) svg.append(draw("path", { class: "whisker", d: `M${r(at(x.low))} 4H${r(at(x.high))}` }));
    const cx = r(at(x.value));
    if (x.verdict === "worse") svg.append(draw("path", { class: "worse", d: `M${cx} 0.8l3.2 3.2l-3.2 3.2l-3.2 -3.2z` }));
    else svg.append(draw("circle", { class: x.verdict, cx, cy: 4, r: 2.2 }));
    return svg;
  }
  window.benchwrightMark = mark;
})();
