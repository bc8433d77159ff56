// Compare any two configurations: what differs, split by kind, and what it was
// worth. The choice stands in the address behind "#", so that it can be shared
// and works from disk.
(function () {
  "use strict";
  const place = document.querySelector("[data-comparison]");
  if (!place) return;
  place.classList.add("filled"); // what stands below it waits for that
  if (!window.benchwrightFigures || !window.benchwrightData) return;
  const data = window.benchwrightData;
  const f = window.benchwrightFigures(data);
  const say = f.say;
  const index = new Map(data.configurations.map((c, i) => [c.id, i]));

  function make(name, attributes = {}, ...children) {
    const node = document.createElement(name);
    for (const [k, v] of Object.entries(attributes)) node.setAttribute(k, v);
    node.append(...children);
    return node;
  }

  function picker(id, key) {
    const select = make("select", { id });
    data.configurations.forEach((c, i) => select.add(new Option(c.label, String(i))));
    return { select, box: make("div", {}, make("label", { for: id }, say(key)), select) };
  }
  const from = picker("compare-from", "compare.from");
  const to = picker("compare-to", "compare.to");
  const swap = make("button", { type: "button", class: "plain-button" }, say("compare.swap"));
  const result = make("div");
  const said = make("p", { class: "aside", role: "status" });
  place.replaceChildren(make("div", { class: "picks" }, from.box, to.box, swap), said, result);

  // In the one-file version the address names the page, not the comparison.
  const single = document.documentElement.dataset.single !== undefined;
  const href = (page) => (single ? "#page-" + page.replace(/\.html$/, "").replaceAll("/", "--") : page);

  // What to show beside one when nobody asked: a fair comparison with readings
  // if there is one, else one with readings.
  function beside(a) {
    const others = data.configurations.map((_, c) => c).filter((c) => c !== a);
    const read = others.filter((c) => data.cells[c].some((cell, w) => Array.isArray(cell) && Array.isArray(data.cells[a][w])));
    return read.find((c) => f.verdict(a, c).clean) ?? read[0] ?? others[0] ?? a;
  }

  function read(text = location.hash.slice(1), aloud = true) {
    const asked = new URLSearchParams(text);
    let a = index.get(asked.get("from")) ?? data.baseline;
    let b = index.get(asked.get("to")) ?? beside(a);
    from.select.value = String(a);
    to.select.value = String(b);
    show(aloud);
  }
  function write() {
    const id = (s) => data.configurations[+s.value].id;
    if (!single) history.replaceState(null, "", "#" + new URLSearchParams({ from: id(from.select), to: id(to.select) }));
    show(true);
  }
  from.select.addEventListener("change", write);
  to.select.addEventListener("change", write);
  swap.addEventListener("click", () => {
    [from.select.value, to.select.value] = [to.select.value, from.select.value];
    write();
  });
  if (!single) addEventListener("hashchange", () => read());
  else document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-compare]");
    if (link) read(link.dataset.compare);
  });

  const kinds = ["under-study", "independent", "unknown", "nuisance", "follower"];

  // What a difference is called; the first of them differs, the others do as well.
  const kindOf = (d, i) => say("page.kind." + d.kind + (d.kind === "independent" && i > 0 ? ".also" : ""));

  function show(aloud) {
    const a = +from.select.value, b = +to.select.value;
    if (a === b) {
      result.replaceChildren(make("p", { class: "plain" }, say("compare.choose-two")));
      if (aloud) said.textContent = say("compare.choose-two");
      return;
    }
    const differences = f.between(a, b).sort((x, y) => kinds.indexOf(x.kind) - kinds.indexOf(y.kind));
    const verdict = f.verdict(a, b, differences);
    const list = make("ul", { class: "differences" }, ...differences.map((d, i) => make("li", { class: d.kind },
      make("span", { class: "factor" }, d.label), " ",
      make("span", { class: "step" }, d.from + " → " + d.to), " ",
      make("span", { class: "kind" }, kindOf(d, i)))));
    const link = make("a", { href: location.href.split("#")[0] + "#from=" + data.configurations[a].id + "&to=" + data.configurations[b].id }, say("compare.link"));
    result.replaceChildren(
      make("h2", {}, say("compare.differences")),
      make("p", { class: "standing " + (verdict.clean ? "clean" : "reserved") }, make("span", { class: "state" }, verdict.text), ...(single ? [] : [" ", link])),
      list,
      make("h2", {}, say("compare.worth")),
      ...worth(a, b, verdict.apart),
    );
    result.querySelectorAll(".scroll").forEach((box) => window.benchwrightScroll?.(box));
    // One sentence is told aloud: the whole of it would never end.
    if (aloud) said.textContent = say("compare.caption", { from: data.configurations[a].label, to: data.configurations[b].label }) + ": " + verdict.text;
  }

  // The table of what it was worth, workload by workload, and what its verdicts
  // are corrected for.
  function worth(a, b, apart) {
    const label = (i) => data.configurations[i].label;
    const head = [["table.workload", ""], ["compare.from", "n"], ["compare.to", "n"], ["table.effect", "n"], ["figure.range.head", "n"], ["table.drawn", ""], ["table.verdict", ""]];
    const thead = make("thead", {}, make("tr", {}, ...head.map(([key, c]) => make("th", c ? { scope: "col", class: c } : { scope: "col" }, say(key)))));
    const body = make("tbody");
    const beside = f.pair(a, b);
    const figures = data.composites.map((_, k) => ({ label: data.composites[k].label, note: "", x: f.composite(k, a, b), ratio: true, total: true }))
      .concat(data.workloads.map((w, i) => ({
        label: w.label, page: w.page, note: w.better, ratio: !w.interval, apart: apart.includes(i),
        x: beside.figures[i], from: f.centre(a, i), to: f.centre(b, i),
      })));
    let low = 1, high = 1;
    for (const { x, ratio } of figures) if (ratio && x.value > 0) { low = Math.min(low, x.low); high = Math.max(high, x.high); }
    const at = (v) => 4 + (Math.log(v / low) / Math.max(1e-12, Math.log(high / low))) * 64;
    for (const { label, page, note, x, ratio, total, from, to, apart } of figures) {
      const name = page ? make("a", { href: href(page) }, label) : label;
      const row = make("tr", {}, make("th", { scope: "row" }, name, " ", make("small", {}, note)));
      const number = (text, c = "n") => make("td", { class: c }, text ?? "");
      if (x.state === "failed") row.append(number(from), number(to), make("td", { class: "n failed" }, "✕ " + x.text), number(), number(), number());
      else if (x.value === undefined) row.append(number(from), number(to), make("td", { class: "n absent" }, "–"), number(), number(), make("td", { class: "absent" }, say("compare.missing")));
      else {
        row.append(number(from), number(to), number(x.text, "n strong"), number(x.range), make("td", {}, ratio && !x.baseline ? window.benchwrightMark(x, at) : ""),
          make("td", { class: "verdict " + x.verdict }, say("page.verdict." + ({ same: "none" }[x.verdict] ?? x.verdict)),
          ...(x.among ? [make("small", {}, say("compare.taken-back"))] : []),
          ...(apart ? [make("small", {}, say("compare.apart-here"))] : [])));
      }
      if (total) row.className = "first";
      body.append(row);
    }
    const caption = make("caption", { id: "worth-caption" }, make("span", {}, say("compare.caption", { from: label(a), to: label(b) })));
    const table = make("div", { class: "scroll", role: "region", tabindex: "0", "aria-labelledby": "worth-caption" }, make("table", { class: "effects" }, caption, thead, body));
    if (beside.family === 0) return [table];
    return [table, make("p", { class: "plain" }, say("compare.corrected." + (beside.family === 1 ? "one" : "other"), { n: String(beside.family) }))];
  }

  read(undefined, false);
})();
