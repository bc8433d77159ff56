#!/bin/sh
# Makes echarts.cut.js, the one chart library that every published site carries:
# one classic script (it must run deferred from disk, where module scripts do
# not load) that sets the global `echarts`, and the licence texts beside it.
# Run it after changing entry.js or a version; commit what it writes.
#
#   sh themes/vendor/build.sh          build, and print the sizes
#   sh themes/vendor/build.sh --check  build aside, fail if the committed file differs
set -eu
cd "$(dirname "$0")"

npm ci --ignore-scripts --no-audit --no-fund --silent

out=echarts.cut.js
if [ "${1:-}" = "--check" ]; then
  out=$(mktemp)
  trap 'rm -f "$out"' EXIT
fi

version=$(node -p 'require("echarts/package.json").version')
banner="/*! Apache ECharts $version, cut to the charts and components named in entry.js and minified:
 * changed from the original by that. Licensed to the Apache Software Foundation
 * under the Apache License, Version 2.0. Contains ZRender (BSD 3-Clause), parts
 * of d3 (BSD 3-Clause) and tslib (0BSD). See echarts.LICENSE.txt and echarts.NOTICE.txt. */"

# ES2018 runs in every browser that has had an update since 2019; plain ASCII
# makes the script read the same whatever character set a host declares.
node_modules/.bin/esbuild entry.js --bundle --minify --format=iife --global-name=echarts \
  --target=es2018 --charset=ascii --define:process.env.NODE_ENV='"production"' \
  --legal-comments=none --banner:js="$banner" --log-level=warning --outfile="$out" --allow-overwrite

if [ "${1:-}" = "--check" ]; then
  cmp "$out" echarts.cut.js || { echo "echarts.cut.js is not what build.sh makes" >&2; exit 1; }
  echo "echarts.cut.js is what build.sh makes"
  exit 0
fi

# One file with the text of every licence that the script carries.
{
  cat node_modules/echarts/LICENSE
  printf '\n\n======== d3, parts of it in echarts.cut.js ========\n\n'
  cat node_modules/echarts/licenses/LICENSE-d3
  printf '\n\n======== ZRender, bundled in echarts.cut.js ========\n\n'
  cat node_modules/zrender/LICENSE
  printf '\n\n======== tslib, bundled in echarts.cut.js ========\n\n'
  cat node_modules/tslib/LICENSE.txt
} > echarts.LICENSE.txt
cp node_modules/echarts/NOTICE echarts.NOTICE.txt

node -e '
const zlib = require("node:zlib"), c = zlib.constants;
const b = require("node:fs").readFileSync("echarts.cut.js");
const brotli = zlib.brotliCompressSync(b, { params: { [c.BROTLI_PARAM_QUALITY]: 11, [c.BROTLI_PARAM_SIZE_HINT]: b.length } });
console.log("echarts.cut.js: " + b.length + " bytes, gzip -9 " + zlib.gzipSync(b, { level: 9 }).length + ", brotli -q 11 " + brotli.length);
'
