// Where the browser is and how it is started: always the machine's own
// Chromium, never one that a package downloads.
import { existsSync } from "node:fs";

/** The browser's path: the variable CHROMIUM, or where distributions put it. */
export function chromiumPath() {
  const places = [process.env.CHROMIUM, "/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
  return places.find((place) => place && existsSync(place));
}

/** Quiet, without a sandbox (tests may run as root in a container), and silent towards the network. */
export const chromiumFlags = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--disable-dev-shm-usage",
  "--no-first-run",
  "--no-default-browser-check",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-default-apps",
  "--disable-extensions",
  "--disable-sync",
  "--disable-features=OptimizationHints,MediaRouter,Translate",
  "--force-color-profile=srgb",
  "--hide-scrollbars",
];
