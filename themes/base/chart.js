// The drawn chart becomes an interactive one when it comes into sight; only
// then is the library loaded. Until then, and without scripts, the drawing and
// the table beside it say the same.
(function () {
  "use strict";
  const folder = document.currentScript.src.replace(/[^/]*$/, "");
  const library = document.currentScript.dataset.library ?? folder + "echarts.cut.js";
  const charts = new Map(); // figure → { chart, option }

  // --- the library, once ------------------------------------------------------

  let loading = null;
  function load() {
    if (window.echarts) return Promise.resolve();
    loading ??= new Promise((done, failed) => {
      const script = document.createElement("script");
      script.src = library;
      script.addEventListener("load", () => done());
      script.addEventListener("error", () => failed(new Error("the chart library did not load")));
      document.head.append(script);
    });
    return loading;
  }

  // --- options: names stand for functions and for the page's colours -------------

  const functions = {
    // An interval: a line from low to high with a cap at each end.
    whisker(params, api) {
      const a = api.coord([api.value(0), api.value(2)]), b = api.coord([api.value(1), api.value(2)]);
      const style = { stroke: api.visual("color"), lineWidth: 1.6 };
      const line = (x1, y1, x2, y2) => ({ type: "line", shape: { x1, y1, x2, y2 }, style });
      return { type: "group", silent: true, children: [line(a[0], a[1], b[0], b[1]), line(a[0], a[1] - 5, a[0], a[1] + 5), line(b[0], b[1] - 5, b[0], b[1] + 5)] };
    },
  };

  // Colours come as light-dark(…): a probe tells which one holds.
  const probe = document.createElement("span");
  function colour(name) {
    probe.style.color = "var(--" + name + ")";
    return getComputedStyle(probe).color;
  }

  function resolve(value) {
    if (Array.isArray(value)) return value.map(resolve);
    if (value && typeof value === "object") return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, resolve(v)]));
    if (typeof value !== "string") return value;
    if (value.startsWith("function:")) return functions[value.slice(9)];
    if (value.startsWith("colour:")) return colour(value.slice(7));
    return value;
  }

  function option(figure) {
    const text = document.getElementById("chart-" + figure.dataset.chart).textContent;
    document.body.append(probe);
    const made = resolve(JSON.parse(text));
    const paper = colour("chart-hollow"), ink = colour("chart-text"), rule = colour("chart-axis");
    probe.remove();
    const style = getComputedStyle(figure);
    made.textStyle = { fontFamily: style.fontFamily, fontSize: parseFloat(style.fontSize), color: ink };
    // An HTML tooltip would set style attributes, which the page's policy forbids.
    Object.assign((made.tooltip ??= {}), { renderMode: "richText", confine: true, backgroundColor: paper, borderColor: rule, textStyle: { color: ink } });
    made.animation = false;
    for (const axis of [...(made.xAxis ?? []), ...(made.yAxis ?? [])]) {
      if (axis.type === "value") (axis.axisLabel ??= {}).formatter = (v) => written(v, figure.dataset.decimal ?? ".");
    }
    if (made.yAxis?.[0]?.inverse) asRows(made, ink);
    else if (made.yAxis?.[0]) made.yAxis[0].nameTextStyle = { align: "left" }; // to the right of its axis, where there is room
    return made;
  }

  // A number as the pages write it: thin spaces from five digits on, the
  // language's decimal mark, a minus sign.
  function written(v, mark) {
    const [whole, fraction] = String(+Math.abs(v).toPrecision(12)).split(".");
    const grouped = whole.length > 4 && /^\d+$/.test(whole) ? whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") : whole;
    return (v < 0 ? "−" : "") + grouped + (fraction ? mark + fraction : "");
  }

  // Rows: the label of a line goes to the top, and the value beyond all that is
  // drawn in its row.
  function asRows(made, ink) {
    const ends = new Map(), values = [];
    const reach = (i, ...marks) => ends.set(i, Math.max(ends.get(i) ?? -Infinity, ...marks));
    for (const series of made.series) {
      series.data?.forEach((d, i) => {
        if (series.type === "custom") reach(d.value[2], d.value[1]);
        else if (series.type === "scatter") reach(d.value[1], d.value[0]);
        else if (d.value !== "-") reach(i, d.value);
      });
    }
    for (const series of made.series) {
      if (series.markLine) Object.assign((series.markLine.label ??= {}), { position: "start", distance: 4 });
      if (series.type !== "bar" && series !== made.series.findLast((s) => s.type === "scatter" && s.markLine)) continue;
      series.data.forEach((d, i) => {
        if (d.value === "-") return;
        values.push({ name: d.name, text: d.name.slice(d.name.lastIndexOf(": ") + 2), row: series.type === "bar" ? i : d.value[1] });
      });
    }
    made.series.push({
      type: "scatter", symbolSize: 1, silent: true, itemStyle: { color: "transparent", opacity: 1 },
      data: values.map(({ name, text, row }) => ({ name, value: [ends.get(row), row], label: { show: true, position: "right", distance: 11, color: ink, formatter: () => text } })),
    });
    Object.assign(made.yAxis[0].axisLabel, { width: 260, overflow: "break", lineHeight: Math.round(1.35 * made.textStyle.fontSize), fontSize: made.textStyle.fontSize });
    if (made.grid?.[0]) made.grid[0].right = "96"; // room for the longest value at the edge
  }

  // --- starting, resizing, colours ----------------------------------------------

  function start(figure) {
    return load().then(() => {
      const started = charts.get(figure);
      if (started) return started;
      const drawing = figure.querySelector(".drawing");
      const drawn = drawing.querySelector("svg");
      const box = document.createElement("div");
      box.className = "live";
      box.style.height = drawing.getBoundingClientRect().height + "px";
      box.setAttribute("role", "img");
      box.setAttribute("aria-label", [drawn.querySelector("title"), drawn.querySelector("desc")].map((n) => n?.textContent ?? "").join(". "));
      drawn.setAttribute("hidden", "");
      drawn.after(box);
      const chart = window.echarts.init(box, null, { renderer: "svg" });
      chart.setOption(option(figure));
      charts.set(figure, chart);
      return chart;
    });
  }

  function back(figure) { // the drawing is as good: a chart that cannot start leaves it
    figure.querySelector(".live")?.remove();
    figure.querySelector(".drawing > svg")?.removeAttribute("hidden");
  }

  // Beside its labels an interactive chart has no room on a phone: there the
  // drawing, which sets them above, stays.
  const narrow = (figure) => figure.clientWidth < 600;

  const seen = new IntersectionObserver((entries) => {
    for (const e of entries) {
      if (!e.isIntersecting || narrow(e.target)) continue;
      seen.unobserve(e.target);
      start(e.target).catch(() => back(e.target));
    }
  }, { rootMargin: "100px" });

  const sizes = new ResizeObserver((entries) => {
    for (const e of entries) charts.get(e.target)?.resize({ width: "auto" });
  });

  document.addEventListener("colours", () => charts.forEach((chart, figure) => chart.setOption(option(figure), true)));
  addEventListener("beforeprint", () => document.querySelectorAll("figure.chart .drawing > svg").forEach((s) => s.removeAttribute("hidden")));
  addEventListener("afterprint", () => charts.forEach((_, figure) => figure.querySelector(".drawing > svg").setAttribute("hidden", "")));

  // --- saving as a picture --------------------------------------------------------

  function savePicture(figure) {
    return start(figure).then((chart) => new Promise((done) => {
      const picture = new Image();
      picture.addEventListener("load", () => {
        const canvas = document.createElement("canvas");
        canvas.width = chart.getWidth() * 2;
        canvas.height = chart.getHeight() * 2;
        const pen = canvas.getContext("2d");
        document.body.append(probe);
        pen.fillStyle = colour("chart-hollow");
        probe.remove();
        pen.fillRect(0, 0, canvas.width, canvas.height);
        pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
        canvas.toBlob((blob) => {
          const link = document.createElement("a");
          link.href = URL.createObjectURL(blob);
          link.download = figure.dataset.chart + ".png";
          link.click();
          URL.revokeObjectURL(link.href);
          if (narrow(figure)) {
            chart.dispose();
            charts.delete(figure);
            back(figure);
          }
          done();
        });
      });
      picture.src = chart.getDataURL({ type: "svg" });
    }));
  }

  document.querySelectorAll("figure.chart").forEach((figure) => {
    const tools = figure.querySelector(".tools");
    if (tools) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = "PNG";
      button.addEventListener("click", () => savePicture(figure));
      tools.append(" ", button);
    }
    seen.observe(figure);
    sizes.observe(figure);
  });
})();
