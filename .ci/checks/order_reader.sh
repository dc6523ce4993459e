#!/usr/bin/env bash
# The demo's board data and a scan's read by a general-purpose parser, which follows the nets from
# the files alone. Needs nodejs and npm; .ci/gerber/package-lock.json pins the parser.
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
# A scan's lines, two rows at once, and the diodes between them.
"$work/lodegrid" order testdata/command/small.toml --scene all-on --set scene.duration="1 s" --set drive.mode=scan --set drive.bridge=low-side \
  --set drive.scan_rows=2 --set board.layers=8 --set grid.rows=8 --set grid.cols=6 --set coil.inner="3.5 mm" --set coil.turns=8 \
  --set order.width="100 mm" --set order.height="130 mm" --set order.diode_span="2.54 mm" -o "$work/scan" --json >"$work/scan.json" || [ $? -eq 4 ]
node "$work/read.mjs" "$work/scan" "$work/scan.json" 2.54
# refused FOLDER ORDER WORDS [SPAN]: the reader finds what was spoilt.
refused() {
  if node "$work/read.mjs" "$1" "$2" ${4:+"$4"} 2>"$work/told"; then echo "not found: $3"; exit 1; fi
  grep -q "$3" "$work/told" || { cat "$work/told"; exit 1; }
}
# The last piece of a track left out, in a line to the edge and in a scan's column.
tac "$work/order/copper-4.gbr" | sed '0,/D01\*$/{/D01\*$/d}' | tac >"$work/cut.gbr"
cp "$work/scan/copper-7.gbr" "$work/whole.gbr"
mv "$work/cut.gbr" "$work/order/copper-4.gbr"
refused "$work/order" "$work/order.json" 'pieces of copper'
tac "$work/whole.gbr" | sed '0,/D01\*$/{/D01\*$/d}' | tac >"$work/scan/copper-7.gbr"
refused "$work/scan" "$work/scan.json" 'pieces of copper' 2.54
# A diode's hole that says it belongs to the next row.
cp "$work/whole.gbr" "$work/scan/copper-7.gbr"
sed -i '0,/^%TO.N,row1\*%/s//%TO.N,row2*%/' "$work/scan/copper-1.gbr"
refused "$work/scan" "$work/scan.json" 'is of another net' 2.54
