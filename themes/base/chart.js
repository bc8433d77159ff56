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
    const style = getComputedStyle(figure);
    made.textStyle = { fontFamily: style.fontFamily, fontSize: parseFloat(style.fontSize), color: ink };
    // An HTML tooltip would set style attributes, which the page's policy forbids.
    Object.assign((made.tooltip ??= {}), { renderMode: "richText", confine: true, backgroundColor: paper, borderColor: rule, textStyle: { color: ink } });
    made.animation = false;
    for (const axis of [...(made.xAxis ?? []), ...(made.yAxis ?? [])]) {
      if (axis.type === "value") (axis.axisLabel ??= {}).formatter = (v) => written(v, figure.dataset.decimal ?? ".");
    }
    if (made.yAxis?.[0]?.inverse) asRows(made, ink);
    else if (made.yAxis?.[0]) {
      made.yAxis[0].nameTextStyle = { align: "left" }; // to the right of its axis, where there is room
      for (const series of made.series) if (series.markLine) Object.assign((series.markLine.label ??= {}), { position: "insideEndTop" });
    }
    probe.remove();
    return made;
  }

  // A number as the pages write it: thin spaces from five digits on, the
  // language's decimal mark, a minus sign.
  function written(v, mark) {
    const [whole, fraction] = String(+Math.abs(v).toPrecision(12)).split(".");
    const grouped = whole.length > 4 && /^\d+$/.test(whole) ? whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") : whole;
    return (v < 0 ? "−" : "") + grouped + (fraction ? mark + fraction : "");
  }

  // Rows: values stand in a column at the right, where no line runs through
  // them, labels lead where those of the drawing do, and single readings lie
  // below the marks, as they are drawn.
  function asRows(made, ink) {
    const rows = made.rows ?? [], size = made.textStyle.fontSize;
    const lines = made.lines ?? [];
    delete made.rows;
    delete made.lines;
    for (const series of made.series) {
      if (series.markLine) {
        Object.assign((series.markLine.label ??= {}), { position: "start", distance: 4 });
        series.markLine.silent = true;
        // A label to a line, as drawn: beside one another they would run together.
        series.markLine.data?.forEach((line, i, all) => { 
          line.label = { distance: [0, 4 + Math.round(1.25 * size) * (all.length - 1 - i)] };
          if (lines[i] === "target") line.lineStyle = { type: "solid", width: 2 };
        });
        if (made.grid?.[0]) made.grid[0].top = String(28 + Math.round(1.25 * size) * ((series.markLine.data?.length ?? 1) - 1));
      }
      if (series.name === "readings") series.symbolOffset = [0, 13];
      if (series.type === "bar") series.data.forEach((d, i) => { if (rows[i]?.mark === "tied" && d.itemStyle) d.itemStyle.borderType = "dashed"; });
    }
    const dots = made.series.filter((series) => series.type === "scatter" && series.name !== "readings");
    dots.at(-1)?.data.forEach((d) => {
      const border = { borderColor: colour("chart-1"), borderWidth: 2, opacity: 1 };
      d.itemStyle = { worse: { color: colour("chart-2"), opacity: 1 }, tied: { color: colour("chart-soft"), ...border }, baseline: { color: colour("chart-hollow"), ...border } }[rows[d.value[1]]?.mark] ?? { opacity: 1 };
    });
    if (dots.length === 2) { // before and after, with the step between them
      const data = dots[0].data.map((d, i) => ({ value: [d.value[0], dots[1].data[i].value[0], d.value[1]] }));
      const worse = data.map((d) => rows[d.value[2]]?.mark === "worse");
      made.series.unshift({
        type: "custom", silent: true, encode: { x: [0, 1], y: 2 }, data, itemStyle: { color: colour("chart-ink") },
        renderItem: (params, api) => {
          const [x1, y1] = api.coord([api.value(0), api.value(2)]), [x2, y2] = api.coord([api.value(1), api.value(2)]);
          return { type: "line", silent: true, shape: { x1, y1, x2, y2 }, style: { stroke: api.visual("color"), lineWidth: 2, lineDash: worse[params.dataIndex] ? [5, 3] : null } };
        },
      });
    }
    const labels = made.yAxis[0];
    labels.triggerEvent = rows.some((row) => row.link);
    const leads = rows.some((row) => row.link) ? colour("chart-link") : ink;
    Object.assign(labels.axisLabel, { color: leads, width: 260, overflow: "break", lineHeight: Math.round(1.35 * size), fontSize: size });
    made.yAxis.push({
      type: "category", inverse: true, position: "right", data: rows.map((row) => row.text),
      axisLine: { show: false }, axisTick: { show: false }, axisLabel: { color: ink, fontSize: size, fontWeight: "bold", interval: 0 },
    });
    labels.axisLabel.interval = 0;
  }

  // Where the label of a row leads, by its number.
  const linksOf = (figure) => (JSON.parse(document.getElementById("chart-" + figure.dataset.chart).textContent).rows ?? []).map((row) => row.link);

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
      const links = linksOf(figure);
      chart.on("click", (at) => {
        const link = at.componentType === "yAxis" ? links[at.tickIndex ?? at.dataIndex] : undefined;
        if (link) location.href = link;
      });
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
