// A site as files on disk, and as a host serves it.
import { createReadStream, readdirSync, statSync } from "node:fs";
import { createServer } from "node:http";
import { extname, join, relative, resolve, sep } from "node:path";
import { createGzip } from "node:zlib";

/** Every file below the folder, as sorted paths with forward slashes. */
export function siteFiles(folder) {
  const root = resolve(folder);
  return readdirSync(root, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => relative(root, join(entry.parentPath ?? entry.path, entry.name)).split(sep).join("/"))
    .sort();
}

/** The pages: every .html file. */
export function sitePages(folder) {
  return siteFiles(folder).filter((file) => file.endsWith(".html"));
}

/**
 * At most `limit` of the pages, each folder's share spread over its whole
 * range: 40 of 300 configuration pages show more than the first 40 files.
 */
export function spreadPages(pages, limit) {
  if (!limit || pages.length <= limit) return pages;
  const folders = new Map();
  for (const page of pages) {
    const folder = page.includes("/") ? page.slice(0, page.lastIndexOf("/")) : "";
    folders.set(folder, [...(folders.get(folder) ?? []), page]);
  }
  const kept = new Set();
  // Small folders first, so that none is crowded out; what they leave goes to the larger ones.
  const bySize = [...folders.values()].sort((a, b) => a.length - b.length);
  bySize.forEach((list, index) => {
    const share = Math.max(1, Math.floor((limit - kept.size) / (bySize.length - index)));
    const take = Math.min(share, list.length);
    for (let i = 0; i < take; i++) kept.add(list[take === 1 ? 0 : Math.round((i * (list.length - 1)) / (take - 1))]);
  });
  return pages.filter((page) => kept.has(page));
}

const types = {
  ".atom": "application/atom+xml; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".csv": "text/csv; charset=utf-8",
  ".html": "text/html; charset=utf-8",
  ".ico": "image/x-icon",
  ".jpg": "image/jpeg",
  ".js": "text/javascript; charset=utf-8",
  ".json": "application/json; charset=utf-8",
  ".png": "image/png",
  ".svg": "image/svg+xml; charset=utf-8",
  ".txt": "text/plain; charset=utf-8",
  ".webmanifest": "application/manifest+json; charset=utf-8",
  ".webp": "image/webp",
  ".woff2": "font/woff2",
  ".xml": "application/xml; charset=utf-8",
};

/** Not the root of a host: a link that starts with "/" must not work by luck. */
export const subPath = "/some/where/";

/**
 * Serves the folder on a loopback port below the sub-path, as a plain host
 * does: gzip for text, index.html for a folder, 404 for all else. Gives
 * { url, origin, close }.
 */
export async function serveSite(folder) {
  const root = resolve(folder);
  const server = createServer((request, response) => {
    const path = decodeURIComponentOr(new URL(request.url, "http://host").pathname);
    let file = path?.startsWith(subPath) ? resolve(root, "." + sep + path.slice(subPath.length)) : undefined;
    if (file && file !== root && !file.startsWith(root + sep)) file = undefined;
    if (file && statOr(file)?.isDirectory() && path.endsWith("/")) file = join(file, "index.html");
    if (!file || !statOr(file)?.isFile()) {
      response.writeHead(404, { "Content-Type": "text/plain; charset=utf-8" });
      response.end("not found");
      return;
    }
    const type = types[extname(file)] ?? "application/octet-stream";
    const headers = { "Content-Type": type, "Cache-Control": "public, max-age=31536000", "X-Content-Type-Options": "nosniff" };
    const text = /charset/.test(type);
    if (text && /\bgzip\b/.test(request.headers["accept-encoding"] ?? "")) {
      response.writeHead(200, { ...headers, "Content-Encoding": "gzip", Vary: "Accept-Encoding" });
      createReadStream(file).pipe(createGzip({ level: 9 })).pipe(response);
    } else {
      response.writeHead(200, { ...headers, "Content-Length": statSync(file).size });
      createReadStream(file).pipe(response);
    }
  });
  await new Promise((done, fail) => server.once("error", fail).listen(0, "127.0.0.1", done));
  const origin = `http://127.0.0.1:${server.address().port}`;
  return {
    origin,
    url: origin + subPath,
    close: () => {
      server.closeAllConnections();
      return new Promise((done) => server.close(done));
    },
  };
}

/** The address part of a site path: each piece encoded, slashes kept. */
export function encodePath(path) {
  return path.split("/").map(encodeURIComponent).join("/");
}

/** decodeURIComponent, or undefined where the text is not well encoded. */
export function decodeURIComponentOr(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return undefined;
  }
}

function statOr(file) {
  try {
    return statSync(file);
  } catch {
    return undefined;
  }
}

/** True if the path names a folder. */
export function isFolder(path) {
  return statOr(path)?.isDirectory() ?? false;
}
