#!/bin/sh
# Runs the benches: Go's own, then whole commands beside general-purpose tools
# on the same input, printed as ratios. Nothing here passes or fails.
set -eu
cd "$(dirname "$0")/.."
go test -run '^$' -bench . -benchtime 1x ./stats ./schema ./project ./design ./report ./edition
go run ./bench/compare "$@"
