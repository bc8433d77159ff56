// A viewer's own readings beside those of the report, in this page alone:
// nothing is sent or kept. The readings can be saved as a filled-in template.
(function () {
  "use strict";

  // --- reading what was typed -------------------------------------------------

  const number = /^[-+−]?(\d+([.,]\d*)?|[.,]\d+)(e[-+]?\d+)?$/i;
  const begun = /^[-+−]?[\d.,]*(\d(e[-+]?\d*)?)?$/i; // what may still become one
  // Thousands set apart: with both signs the last one is the decimal mark, and
  // one that comes twice is none.
  const thousands = /^[-+−]?[1-9]\d{0,2}((,\d{3})+(\.\d*)?|(\.\d{3})+(,\d*)?)$/;

  // One number as a table holds it: a point before decimals, an ASCII sign. Null
  // for anything else. "3,500" may be three and a half or three thousand five
  // hundred: it is the latter where the language's decimal mark is a point, as
  // "3.500" is where that is a comma, and doubt holds the other meaning.
  function reading(text, mark) {
    const bare = text.replace("−", "-").replace(/^\+/, "");
    let plain = bare.replace(",", "."), doubt;
    if (thousands.test(text)) {
      const signs = bare.replace(/[^.,]/g, "");
      if (signs.length > 1 || signs !== mark) {
        const group = signs[0], decimal = signs.at(-1) === group ? "" : signs.at(-1);
        plain = bare.replaceAll(group, "");
        if (decimal) plain = plain.replace(decimal, ".");
        if (signs.length === 1) doubt = +bare.replace(group, ".");
      }
    } else if (!number.test(text)) return null;
    const value = +plain;
    return isFinite(value) ? { value, plain, doubt } : null;
  }

  // Whether a reading is more than ten times off another, which is more often a
  // slip or another unit than a machine.
  const farOff = (value, from) => value > 10 * from || value < from / 10;

  // What was typed, as pages write it.
  const signed = (text) => text.replace(/^-/, "−");

  window.benchwrightTyped = { reading, farOff, signed };

  // --- the form -----------------------------------------------------------------

  const place = document.querySelector("[data-yours]");
  const keep = document.querySelector("[data-yours-save]");
  if (!place?.querySelector("select") || !keep || !window.benchwrightFigures || !window.benchwrightData) return;
  const data = window.benchwrightData;
  let made;
  const figures = () => (made ??= window.benchwrightFigures(data)); // summing up the readings waits for an idle moment
  (window.requestIdleCallback ?? setTimeout)(figures);
  const say = (key, gaps) => figures().say(key, gaps);
  const count = (key, n, gaps = {}) => say(key + (n === 1 ? ".one" : ".other"), { n: String(n), ...gaps });

  const choice = place.querySelector("select");
  choice.replaceChildren(...data.configurations.map((c, i) => new Option(c.label, String(i), i === data.baseline, i === data.baseline)));
  choice.disabled = false;
  const entries = Array.from(place.querySelectorAll("[data-at]"), (node) => ({
    node, at: +node.dataset.at, id: node.dataset.id, input: node.querySelector("input"), readings: [], fault: "",
    least: node.dataset.least === "" ? -Infinity : +node.dataset.least, most: node.dataset.most === "" ? Infinity : +node.dataset.most,
  }));
  const part = (entry, name) => entry.node.querySelector("." + name);

  // The last digit that was written; 0 with an exponent, which says nothing of it.
  function stepOf(plain) {
    if (/e/i.test(plain)) return 0;
    const at = plain.indexOf(".");
    return at < 0 ? 1 : 10 ** -(plain.length - at - 1);
  }

  // Takes in a field. While it is being typed in, its last word is given time.
  function take(entry, typing) {
    const text = entry.input.value;
    // A no-break space is no space between repeats, but thousands set apart.
    const words = text.replace(/(\d)[\u00a0\u202f](?=\d{3}(?!\d))/g, "$1").split(/[\s;]+/).filter((word) => word !== "");
    const open = typing && !/[\s;]$/.test(text) ? words.length - 1 : -1;
    entry.readings = [];
    entry.fault = "";
    words.forEach((word, i) => {
      const r = reading(word, data.decimal);
      const workload = data.workloads[entry.at];
      if (r === null) {
        if (!(i === open && begun.test(word))) entry.fault ||= say("yours.not-a-number", { text: word.length > 30 ? word.slice(0, 29) + "…" : word });
      } else if (r.value < entry.least || r.value > entry.most || (!workload.interval && r.value <= 0)) {
        if (i !== open) entry.fault ||= say("yours.not-possible", { text: (r.doubt === undefined ? signed(word) : figures().plain(r.value, 0)) + (workload.unit ? "\u00a0" + workload.unit : "") });
      } else entry.readings.push({ ...r, text: signed(word), open: i === open });
    });
    entry.input.setAttribute("aria-invalid", String(entry.fault !== ""));
  }

  // What is asked about readings that may be right all the same.
  function questions(entry, c) {
    const workload = data.workloads[entry.at], unit = workload.unit ? "\u00a0" + workload.unit : "", y = entry.figure?.y;
    const asked = [], done = entry.readings.filter((r) => !r.open);
    const doubt = done.find((r) => r.doubt !== undefined);
    if (doubt) asked.push(say("yours.taken-as", { text: doubt.text, value: figures().plain(doubt.value, 0) + unit, other: figures().plain(doubt.doubt, 3) }));
    const far = !workload.interval && y?.usable && y.size > 0 ? done.find((r) => farOff(r.value, y.centre)) : undefined;
    if (far) asked.push(say("yours.far-off", { text: far.text + unit, beside: figures().centre(c, entry.at), name: data.configurations[c].label }));
    return asked.join(" ");
  }
  // Set again only where it changes, since it is told aloud.
  function ask(entry, c) {
    const text = entry.fault || questions(entry, c), node = part(entry, "problem");
    if (node.textContent !== text) node.textContent = text;
  }

  // --- figures ------------------------------------------------------------------

  function write(node, text, note) {
    const small = document.createElement("small");
    small.textContent = note;
    node.replaceChildren(text, ...(note ? [" ", small] : []));
  }

  function show(entry) {
    const c = +choice.value;
    const label = data.configurations[c].label;
    part(entry, "beside-name").textContent = label;
    part(entry, "beside-value").textContent = figures().centre(c, entry.at) || "–";
    entry.figure = null;
    if (entry.readings.length === 0) {
      ask(entry, c);
      for (const name of ["own", "against", "standing"]) part(entry, name).textContent = "";
      return;
    }
    const step = Math.min(...entry.readings.map((r) => stepOf(r.plain)).filter((s) => s > 0));
    const x = figures().outside(c, entry.at, entry.readings.map((r) => r.value), isFinite(step) ? step : 0);
    entry.figure = x;
    write(part(entry, "own"), x.text, count("page.count.readings", entry.readings.length));
    if (x.relative.value === undefined) write(part(entry, "against"), "–", say("yours.no-reading", { name: label }));
    else write(part(entry, "against"), x.relative.text, x.relative.range || say("page.verdict.open"));
    part(entry, "standing").textContent = x.standing ? say("yours.standing", { where: x.standing }) : "";
    ask(entry, c);
  }

  const overall = place.querySelector(".overall");
  function showAll() {
    entries.forEach(show);
    const x = figures().outsideMean(entries.map((entry) => entry.figure).filter(Boolean));
    overall.querySelector(".figure").textContent = x.n ? x.text : "–";
    overall.querySelector(".range").textContent = x.range ?? "";
    overall.querySelector(".of").textContent = x.n ? count("yours.overall", x.n, { name: data.configurations[+choice.value].label }) : say("yours.overall.none");
  }

  // Figures are told aloud once the typing rests; this moves nothing on the page.
  const said = place.querySelector(".said");
  let pending;
  function tell(entry) {
    clearTimeout(pending);
    pending = setTimeout(() => {
      const x = entry.figure;
      said.textContent = !x || entry.fault ? "" : [data.workloads[entry.at].label + ":", x.text + ";", (x.relative.text ?? "–") + ".", part(entry, "standing").textContent].join(" ");
    }, 800);
  }

  for (const entry of entries) {
    entry.input.disabled = false;
    entry.input.addEventListener("input", () => { take(entry, true); showAll(); tell(entry); });
    entry.input.addEventListener("change", () => { take(entry, false); showAll(); });
    take(entry, false); // a browser may have kept what was typed before a reload
  }
  choice.addEventListener("change", showAll);
  if (entries.some((entry) => entry.input.value !== "")) showAll();

  // --- saving a filled-in template ------------------------------------------------

  // The same bounds as in record/viewers.go, which reads the file: a name or note
  // in it must be no formula to a spreadsheet, and stand in one line.
  const fields = Array.from(keep.querySelectorAll("[data-field]"), (node) => ({
    node, name: node.dataset.field, input: node.querySelector("input"), most: +node.dataset.most, needed: node.dataset.needed !== undefined,
  }));
  function check(field) {
    const text = field.input.value.trim();
    const fault = text === "" ? (field.needed ? say("yours.needed") : "")
      : /^[=+\-@＝＋－＠]/.test(text) ? say("yours.formula")
      : /\p{Cc}/u.test(text) ? say("yours.control")
      : Array.from(text).length > field.most ? say("yours.too-long", { n: String(field.most) }) : "";
    field.input.setAttribute("aria-invalid", String(fault !== ""));
    field.node.querySelector(".problem").textContent = fault;
    return fault === "";
  }
  for (const field of fields) {
    field.input.disabled = false;
    field.input.addEventListener("input", () => { if (field.input.getAttribute("aria-invalid") === "true") check(field); });
  }

  const quoted = (text) => (/[",;\n\r]|^\s|\s$/.test(text) ? '"' + text.replaceAll('"', '""') + '"' : text);
  const columns = ["viewer", "machine", "workload", "value", "unit", "date", "note"];
  function template() {
    const about = Object.fromEntries(fields.map((field) => [field.name, field.input.value.trim()]));
    const rows = entries.flatMap((entry) => entry.readings.map((r) => (
      { ...about, workload: entry.id, value: r.plain, unit: data.workloads[entry.at].unit })));
    return [columns, ...rows.map((row) => columns.map((name) => quoted(row[name])))].map((row) => row.join(",") + "\n").join("");
  }

  const save = keep.querySelector("[data-save]");
  const outcome = keep.querySelector(".outcome");
  save.disabled = false;
  save.addEventListener("click", () => {
    const good = fields.map(check).every(Boolean);
    const faulty = entries.find((entry) => entry.fault) ?? (good ? null : fields.find((field) => field.input.getAttribute("aria-invalid") === "true"));
    if (faulty) {
      outcome.textContent = say("yours.mend");
      faulty.input.focus();
    } else if (entries.every((entry) => entry.readings.length === 0)) {
      outcome.textContent = say("yours.nothing");
    } else {
      const name = fields.find((field) => field.name === "viewer").input.value.normalize("NFKD").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 60) || "readings";
      const link = document.createElement("a");
      link.href = URL.createObjectURL(new Blob([template()], { type: "text/csv" }));
      link.download = name + ".csv";
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
      outcome.textContent = say("yours.saved", { file: link.download });
    }
  });
})();
