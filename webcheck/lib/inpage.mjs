// Functions that run inside a page under test. Each is sent to the browser as
// text, so it may use nothing from outside its own body.

/** Runs before the page's own scripts: notes policy violations and layout shifts as they happen. */
export function watch() {
  const seen = { violations: [], shifts: [] };
  Object.defineProperty(window, "__webcheck", { value: seen });
  document.addEventListener("securitypolicyviolation", (event) => {
    const source = event.sourceFile ? ` in ${event.sourceFile.split("/").pop()}:${event.lineNumber}` : "";
    seen.violations.push(`${event.effectiveDirective} blocked ${event.blockedURI || "inline"}${source}${event.sample ? ` (${event.sample})` : ""}`);
  });
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) {
      if (entry.hadRecentInput) continue;
      const nodes = entry.sources.map(({ node }) => {
        const element = node?.nodeType === 1 ? node : node?.parentElement;
        return element ? element.tagName.toLowerCase() + (element.id ? "#" + element.id : "") + (element.classList?.[0] ? "." + element.classList[0] : "") : "a removed node";
      });
      seen.shifts.push({ value: entry.value, nodes: [...new Set(nodes)].slice(0, 3) });
    }
  }).observe({ type: "layout-shift", buffered: true });
}

/** Facts about the page as it stands: headings, title, policy. */
export function facts() {
  const shown = [...document.querySelectorAll("h1")].filter((h1) => h1.getClientRects().length > 0);
  const policy = [...document.querySelectorAll("meta")].find((meta) => meta.httpEquiv.toLowerCase() === "content-security-policy");
  const first = document.querySelector("script, style, link[rel~=stylesheet], img");
  return {
    h1: document.querySelectorAll("h1").length,
    h1Shown: shown.length,
    title: document.title.trim(),
    lang: document.documentElement.lang,
    policy: policy?.content,
    policyFirst: !policy || !first || Boolean(policy.compareDocumentPosition(first) & Node.DOCUMENT_POSITION_FOLLOWING),
  };
}

/** How far the page is wider than the window, and which elements stick out. */
export function overflow() {
  const scroller = document.scrollingElement;
  const width = window.innerWidth;
  if (scroller.scrollWidth <= width) return undefined;
  const boxed = (element) => {
    for (let up = element.parentElement; up && up !== document.body; up = up.parentElement) {
      if (getComputedStyle(up).overflowX !== "visible") return true;
    }
    return false;
  };
  const names = [];
  for (const element of document.body.querySelectorAll("*")) {
    const box = element.getBoundingClientRect();
    if (box.width === 0 || box.right + window.scrollX <= width + 0.5 || boxed(element)) continue;
    names.push(element.tagName.toLowerCase() + (element.id ? "#" + element.id : "") + (element.classList?.[0] ? "." + element.classList[0] : ""));
  }
  return { by: scroller.scrollWidth - width, names: [...new Set(names)].slice(0, 5) };
}

/** Doubles the size of all text that is sized by the root, as a reader's text zoom does. */
export function doubleText() {
  document.documentElement.style.fontSize = "200%";
}

/** Scrolls through the page, a window at a time, so that what waits for being seen starts. */
export async function scrollThrough() {
  const step = Math.max(200, window.innerHeight * 0.8);
  for (let y = 0, i = 0; y < document.scrollingElement.scrollHeight && i < 60; y += step, i++) {
    window.scrollTo({ top: y, behavior: "instant" });
    await new Promise((done) => {
      requestAnimationFrame(() => requestAnimationFrame(done));
      setTimeout(done, 250); // on a busy machine frames may stay away
    });
  }
  window.scrollTo({ top: 0, behavior: "instant" });
  await new Promise((done) => setTimeout(done, 50));
}

/**
 * What has the focus, and whether that can be seen: the look of the element (or of one that wraps it or stands
 * for it) must differ between focused and not. Gives undefined when the focus is on the page as a whole.
 */
export async function focusLook() {
  const element = document.activeElement;
  if (!element || element === document.body || element === document.documentElement) return undefined;
  const relatives = [element, element.parentElement, element.nextElementSibling, ...(element.labels ?? [])].filter(Boolean);
  const look = () =>
    relatives.map((one) => {
      const style = getComputedStyle(one);
      const outline = style.outlineStyle === "none" || parseFloat(style.outlineWidth) === 0 ? "none" : `${style.outlineStyle} ${style.outlineWidth} ${style.outlineColor}`;
      return [outline, style.boxShadow, style.backgroundColor, style.borderColor, style.borderWidth, style.textDecorationLine, style.textDecorationThickness, style.stroke, style.strokeWidth].join("|");
    });
  // The browser brings the element into the window a frame or more after the key, smoothly if the page asks for it.
  const inWindow = () => {
    const box = element.getBoundingClientRect();
    return box.width > 0 && box.height > 0 && box.bottom > 0 && box.right > 0 && box.top < window.innerHeight && box.left < window.innerWidth;
  };
  const frame = () =>
    new Promise((done) => {
      requestAnimationFrame(done);
      setTimeout(done, 100); // on a busy machine frames may stay away
    });
  await frame();
  for (let i = 0; i < 60 && !inWindow(); i++) await frame();
  const arrived = inWindow();
  const focused = look();
  const scroll = [window.scrollX, window.scrollY];
  element.blur();
  let plain = look();
  if (focused.every((one, index) => one === plain[index])) {
    await new Promise((done) => setTimeout(done, 300)); // the look may be fading out
    plain = look();
  }
  element.focus({ preventScroll: true, focusVisible: true });
  window.scrollTo({ left: scroll[0], top: scroll[1], behavior: "instant" });
  return {
    name: element.tagName.toLowerCase() + (element.id ? "#" + element.id : "") + (element.classList?.[0] ? "." + element.classList[0] : "") + ` "${(element.textContent || element.getAttribute("aria-label") || element.name || "").trim().replace(/\s+/g, " ").slice(0, 40)}"`,
    seen: focused.some((one, index) => one !== plain[index]),
    inWindow: arrived,
    skips: element.tagName === "A" && (element.getAttribute("href") ?? "").startsWith("#"),
  };
}

/** Middle points, in page coordinates, of what a pointer may rest on: charts first. */
export function pointerPlaces() {
  const charts = [...document.querySelectorAll("[_echarts_instance_], svg, canvas, abbr[title], [aria-describedby]")];
  return charts.slice(0, 12).map((element) => {
    const box = element.getBoundingClientRect();
    return { x: box.left + window.scrollX, y: box.top + window.scrollY, width: box.width, height: box.height };
  });
}
