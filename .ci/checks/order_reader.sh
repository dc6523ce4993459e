#!/usr/bin/env bash
# The demo's board data read by a general-purpose parser, which follows the nets from the files
# alone. Needs nodejs and npm; .ci/gerber/package-lock.json pins the parser.
set -euo pipefail
cd "$(dirname "$0")/../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp .ci/gerber/package.json .ci/gerber/package-lock.json .ci/gerber/read.mjs "$work/"
(cd "$work" && npm ci --ignore-scripts --no-audit --no-fund --loglevel=error)
go build -o "$work/lodegrid" ./cmd/lodegrid
# Exit code 4 tells of a limit that the demo breaks; the folder is written all the same.
"$work/lodegrid" order --scene all-on --set scene.duration="1 s" -o "$work/order" --json >"$work/order.json" || [ $? -eq 4 ]
node "$work/read.mjs" "$work/order" "$work/order.json"
# The last piece of a track to the edge left out is found.
tac "$work/order/copper-4.gbr" | sed '0,/D01\*$/{/D01\*$/d}' | tac >"$work/cut.gbr"
mv "$work/cut.gbr" "$work/order/copper-4.gbr"
if node "$work/read.mjs" "$work/order" "$work/order.json" 2>"$work/told"; then echo 'a piece of track left out is not found'; exit 1; fi
grep -q 'pieces of copper' "$work/told"
