#!/usr/bin/env bash
# Runs every test, and first installs what they need beyond Go: Debian packages
# (a browser, Java, R, a font, node where there is none) and pinned npm packages.
#
#   bash test.sh              everything; goes on after a failure, ends with a summary
#   bash test.sh STEP…        only these steps, with what they need
#   bash test.sh --list       the steps
#
# BENCHWRIGHT_PICTURES=DIR    also saves pictures of the published sample's pages there
set -u
cd "$(dirname "$0")" || exit 2
root=$PWD
export BENCHWRIGHT_REQUIRE_OUTSIDE=1 # a check against an outside program fails where that is missing, it is not skipped

work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
trap 'exit 130' INT TERM

steps="packages npm format vet elsewhere library locks selftest unit fuzz build publish markup links weight browser themes large onefile lighthouse"

# ---- what the tests need ----

# Debian package by what it brings. An installed command counts, whoever installed it.
missing_packages() {
  command -v chromium >/dev/null || [ -x "${CHROMIUM:-}" ] || echo chromium
  java_is_new || echo default-jre-headless
  command -v Rscript >/dev/null || echo r-base-core
  [ -n "$(find /usr/share/fonts /usr/local/share/fonts -name 'DejaVuSans.ttf' 2>/dev/null | head -n 1)" ] || echo fonts-dejavu-core
  command -v node >/dev/null || echo nodejs
  command -v npm >/dev/null || echo npm
}

java_is_new() { # the HTML checker wants Java 17
  local version
  version=$(java -version 2>&1 | sed -n 's/.* version "\([0-9]*\).*/\1/p') && [ "${version:-0}" -ge 17 ]
}

step_packages() {
  command -v go >/dev/null || { echo "Go is needed: install Go 1.26 or newer and put it in PATH"; return 1; }
  local wanted sudo=""
  wanted=$(missing_packages | tr '\n' ' ')
  if [ -z "${wanted// /}" ]; then
    echo "nothing is missing"
    return 0
  fi
  echo "missing: $wanted"
  if ! command -v apt-get >/dev/null; then
    echo "this is no Debian: install the like of these packages by hand, then run this again"
    return 1
  fi
  if [ "$(id -u)" != 0 ]; then
    command -v sudo >/dev/null || { echo "run as root, or have someone run: apt-get install $wanted"; return 1; }
    sudo=sudo
  fi
  $sudo apt-get update -q >"$work/apt.log" 2>&1 &&
    # shellcheck disable=SC2086 # the list is meant to be split
    $sudo env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $wanted >>"$work/apt.log" 2>&1 || {
      tail -n 30 "$work/apt.log"
      echo "apt-get could not install: $wanted"
      return 1
    }
  wanted=$(missing_packages | tr '\n' ' ')
  [ -z "${wanted// /}" ] || { echo "still missing after the installation: $wanted"; return 1; }
}

step_npm() {
  node_is_new || newer_node || return 1
  echo "node $(node --version), npm $(npm --version)"
  (cd webcheck && npm ci --ignore-scripts --no-audit --no-fund --loglevel=error)
}

node_is_new() { # the checkers want 20.19
  node -e 'const [a, b] = process.versions.node.split(".").map(Number); process.exit(a > 20 || (a === 20 && b >= 19) ? 0 : 1)' 2>/dev/null
}

# Debian 12 brings node 18. The npm registry holds node itself as a plain
# package; it is put into the work folder and used for this run alone.
newer_node() {
  local machine
  case $(uname -m) in
    x86_64) machine=x64 ;;
    aarch64) machine=arm64 ;;
    *) echo "node $(node --version) is too old: install 20.19 or newer"; return 1 ;;
  esac
  echo "node $(node --version) is too old: taking 22.23.3 for this run"
  npm install --prefix "$work/node" --ignore-scripts --no-audit --no-fund --loglevel=error "node-linux-$machine@22.23.3" >/dev/null || return 1
  export PATH="$work/node/node_modules/node-linux-$machine/bin:$PATH"
  node_is_new
}

# ---- the code ----

go_files() { find . -name node_modules -prune -o -name '*.go' -print; }

step_format() {
  local unformatted
  unformatted=$(go_files | xargs gofmt -l) || return 1
  [ -z "$unformatted" ] || { printf 'not formatted:\n%s\n' "$unformatted"; return 1; }
}

step_vet() { go vet ./...; }

# What is run here is run on Linux alone. That it compiles for what else people
# have at a bench, its tests included, is the least that can be known here.
step_elsewhere() {
  local system failed=0
  for system in windows darwin; do
    GOOS=$system GOARCH=amd64 CGO_ENABLED=0 go vet $(go list ./... | grep -v '^benchwright/bench/') || { echo "does not compile for $system"; failed=1; }
  done
  return $failed
}

step_library() { sh themes/vendor/build.sh --check; } # the committed chart library is what its recipe makes

step_locks() { # lock files name packages and checksums, never where they were fetched from
  local bad
  bad=$(find . -name node_modules -prune -o -name package-lock.json -print | xargs grep -l '"resolved"')
  [ -z "$bad" ] || { printf 'names the host that it was fetched from: %s\n' "$bad"; return 1; }
}

step_selftest() { node webcheck/selftest.mjs; }

step_unit() { go test -timeout 30m ./...; }

# Each fuzz target runs for up to ten seconds, all of them for some three minutes.
# Inputs are not shrunk here: shrinking can outlast those seconds, and Go then
# reports its own deadline as a failure of the target. A failing input is kept as
# it was found.
step_fuzz() {
  local targets count seconds file name try failed=0
  targets=$(go_files | xargs grep -Eo '^func Fuzz[A-Za-z0-9_]*' /dev/null | sed 's/:func / /' | sort)
  count=$(printf '%s' "$targets" | grep -c .)
  [ "$count" -gt 0 ] || { echo "no fuzz target found"; return 1; }
  seconds=$((180 / count))
  [ "$seconds" -le 10 ] || seconds=10
  [ "$seconds" -ge 2 ] || seconds=2
  echo "$count targets, $seconds s each"
  while read -r file name; do
    for try in 1 2 3; do
      if go test -run '^$' -fuzz "^$name\$" -fuzztime "${seconds}s" -fuzzminimizetime 0x "$(dirname "$file")" >"$work/fuzz.log" 2>&1; then
        echo "ok $name"
        continue 2
      fi
      deadline_alone "$work/fuzz.log" || break
      echo "again $name: its time ran out in the middle of an input ($try)"
    done
    failed=1
    echo "FAILED $name in $file"
    tail -n 40 "$work/fuzz.log"
  done <<<"$targets"
  return $failed
}

# Go's fuzzer may report its own deadline without shrinking too, when that falls
# into an input. Such a run names no input and says nothing of the target.
deadline_alone() {
  grep -Eq '^ +context deadline exceeded$' "$1" && ! grep -Eq 'Failing input|panic:|hung or terminated|: exit status|fuzzing process' "$1"
}

# ---- the site ----

step_build() { go build -o "$work/benchwright" ./cmd/benchwright; }

theme_names() {
  local file
  for file in themes/*/tokens.css; do basename "$(dirname "$file")"; done | grep -vx base
}

# Exit code 1 says that the report has findings of severity error: the sample
# shows some on purpose, and is published all the same.
publish() {
  "$work/benchwright" publish --sample "$@"
  local code=$?
  [ $code -le 1 ]
}

step_publish() {
  local theme
  publish --out "$work/site" || return 1
  [ -f "$work/site/index.html" ] || { echo "no overview was written"; return 1; }
  [ -n "$(theme_names)" ] || { echo "no theme found"; return 1; }
  for theme in $(theme_names); do
    publish --out "$work/themed/$theme" --theme "$theme" >/dev/null || { echo "theme $theme was not published"; return 1; }
  done
  "$work/benchwright" publish testdata/shelf --out "$work/shelf" # several reports in one site
}

step_markup() {
  local theme failed=0
  node webcheck/validate.mjs "$work/site" || failed=1
  node webcheck/validate.mjs "$work/shelf" || failed=1
  for theme in $(theme_names); do node webcheck/validate.mjs "$work/themed/$theme" || failed=1; done
  return $failed
}

step_links() {
  local theme failed=0
  node webcheck/links.mjs "$work/site" || failed=1
  node webcheck/links.mjs "$work/shelf" || failed=1
  for theme in $(theme_names); do node webcheck/links.mjs "$work/themed/$theme" || failed=1; done
  return $failed
}

step_weight() { node webcheck/weight.mjs "$work/site"; }

step_browser() {
  local failed=0
  if [ -n "${BENCHWRIGHT_PICTURES:-}" ]; then
    node webcheck/browser.mjs "$work/site" --saved "$work/marsh.csv" --shots "$BENCHWRIGHT_PICTURES/pages" || failed=1
  else
    node webcheck/browser.mjs "$work/site" --saved "$work/marsh.csv" || failed=1
  fi
  # Of a shelf, the pages that no report has (and the overviews of its reports).
  local page
  for page in across.html workloads.html index.html; do node webcheck/browser.mjs "$work/shelf" --only "$page" || failed=1; done
  # What the form for a viewer's own readings saves is what record takes in.
  rm -rf "$work/taken" && cp -r sample-project "$work/taken" || return 1
  "$work/benchwright" record "$work/taken" --from-viewer "$work/marsh.csv" || failed=1
  return $failed
}

# The themes share their templates: a page of each kind in each theme will do.
# The theme that the sample itself wears is left out: its pages were all seen.
step_themes() {
  local name names=""
  for name in $(theme_names); do
    cmp -s "$work/themed/$name/assets/style.css" "$work/site/assets/style.css" || names="$names,$name"
  done
  names=${names#,}
  if [ -n "${BENCHWRIGHT_PICTURES:-}" ]; then
    node webcheck/browser.mjs "$work/themed" --themes "$names" --limit 12 --shots "$BENCHWRIGHT_PICTURES/themes"
  else
    node webcheck/browser.mjs "$work/themed" --themes "$names" --limit 12
  fi
}

# A report far larger than the sample: other ways of drawing, sorting and scrolling come into play.
step_large() {
  go run ./bench/generate -configurations 120 -workloads 16 -repeats 3 "$work/large" || return 1
  "$work/benchwright" publish "$work/large" --out "$work/large-site" >/dev/null
  [ $? -le 1 ] || return 1
  node webcheck/validate.mjs "$work/large-site" && node webcheck/links.mjs "$work/large-site" && node webcheck/browser.mjs "$work/large-site" --limit 8
}

step_onefile() { # the report as one file is a site of one page
  if ! "$work/benchwright" publish --help | grep -q -e '--single-file'; then
    echo "publish has no --single-file: nothing to check"
    return 0
  fi
  mkdir -p "$work/onefile"
  publish --out "$work/site" --single-file "$work/onefile/index.html" || return 1
  node webcheck/links.mjs "$work/onefile" && node webcheck/browser.mjs "$work/onefile"
}

# The overview, and of each folder of pages the first in the alphabet.
step_lighthouse() {
  local pages
  pages=$(cd "$work/site" && find . -name '*.html' | sed 's|^\./||' | sort | awk -F/ 'NF == 1 { if ($0 == "index.html") print; next } !($1 in seen) { seen[$1]; print }')
  # shellcheck disable=SC2086 # page names hold no spaces
  node "$root/webcheck/lighthouse.mjs" "$work/site" $pages
}

# ---- running them ----

needs() { # what must have passed before a step makes sense
  case $1 in
    selftest | library) echo packages npm ;;
    publish) echo build ;;
    markup | links | weight | browser | themes | large | onefile | lighthouse) echo packages npm build publish ;;
  esac
}

# Runs a step, shows what it prints and keeps it: after an hour of output, what
# failed is said once more at the end.
kept() {
  local copy code
  exec 3> >(tee "$work/$1.out")
  copy=$!
  "step_$1" >&3 2>&1 3>&-
  code=$?
  exec 3>&-
  wait "$copy"
  return $code
}

declare -A outcome
passed=0 failed=0 skipped=0
report=""

run() {
  local step=$1 need started took
  [ -z "${outcome[$step]:-}" ] || return 0
  for need in $(needs "$step"); do
    run "$need"
    if [ "${outcome[$need]}" != passed ]; then
      outcome[$step]=skipped
      skipped=$((skipped + 1))
      report+="  skipped  $step (needs $need)"$'\n'
      return 0
    fi
  done
  echo "== $step"
  started=$SECONDS
  if kept "$step"; then
    outcome[$step]=passed
    passed=$((passed + 1))
  else
    outcome[$step]=FAILED
    failed=$((failed + 1))
  fi
  took=$((SECONDS - started))
  echo "== $step: ${outcome[$step]} ($took s)"
  report+=$(printf '  %-7s  %s (%d s)' "${outcome[$step]}" "$step" "$took")$'\n'
}

case ${1:-} in
  --list) tr ' ' '\n' <<<"$steps"; exit 0 ;;
  --help) sed -n '2,/^set/{/^#/s/^# \{0,1\}//p}' "$0"; exit 0 ;;
  -*) sed -n '2,/^set/{/^#/s/^# \{0,1\}//p}' "$0"; exit 2 ;;
esac
for step in "${@:-}"; do
  case " $steps " in *" ${step:-packages} "*) ;; *) echo "no step \"$step\"; --list names them" >&2; exit 2 ;; esac
done
# shellcheck disable=SC2086 # a list of names
for step in ${@:-$steps}; do run "$step"; done

printf '\n%s' "$report"
for step in $steps; do
  [ "${outcome[$step]:-}" = FAILED ] || continue
  printf '\nthe end of %s:\n' "$step"
  tail -n 8 "$work/$step.out" | cut -c 1-300 | sed 's/^/  /'
done
[ $failed -eq 0 ] || echo
if [ $skipped -gt 0 ]; then echo "$passed passed, $failed failed, $skipped skipped"; else echo "$passed passed, $failed failed"; fi
[ $failed -eq 0 ] && [ $skipped -eq 0 ] && [ $passed -gt 0 ]
