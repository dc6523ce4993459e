#!/usr/bin/env bash
# The browser page in a real browser: built, served on this machine, driven in headless
# Chromium with the mouse, dropped files and the text mirror of the meters.
# Needs chromium, nodejs and npm; .ci/web/package-lock.json pins the driver.
set -euo pipefail
cd "$(dirname "$0")/../.."
work=$(mktemp -d)
server=
cleanup() {
  if [ -n "$server" ]; then kill "$server" 2>/dev/null || true; wait "$server" 2>/dev/null || true; fi
  rm -rf "$work"
}
trap cleanup EXIT

mkdir "$work/driver"
cp .ci/web/package.json .ci/web/package-lock.json .ci/web/drive.mjs "$work/driver/"
(cd "$work/driver" && npm ci --ignore-scripts --no-audit --no-fund --loglevel=error)

go build -o "$work/lodegrid" ./cmd/lodegrid
# Exit code 4 tells of a limit that the demo breaks, after the table was written.
"$work/lodegrid" frames --scene checker --set scene.carry=false --set scene.duration="7 s" -o "$work/table.csv" >/dev/null || [ $? -eq 4 ]
"$work/lodegrid" design --full --set grid.cols=6 --set grid.rows=5 --set name="Dropped" --set scene.carry=false --set scene.kind=walk --set scene.speed=1 --set scene.duration="3 s" -o "$work/design.toml"

"$work/lodegrid" web --serve localhost:0 >"$work/address" 2>"$work/talk" &
server=$!
for _ in $(seq 600); do
  if grep -q '^http' "$work/address"; then break; fi
  if ! kill -0 "$server" 2>/dev/null; then cat "$work/talk"; exit 1; fi
  sleep 0.5
done
address=$(grep '^http' "$work/address") || { echo 'the server gave no address'; cat "$work/talk"; exit 1; }

# Not to be reached under another name.
code=$(curl -s -o /dev/null -w '%{http_code}' -H 'Host: elsewhere.example' "$address")
[ "$code" = 403 ] || { echo "a foreign host name got $code, want 403"; exit 1; }

node "$work/driver/drive.mjs" "$address" "$work/table.csv" "$work/design.toml" "${WEB_PICTURE:-$work/page.png}"

# Interrupting the server is its usual end, told as every interruption is.
kill -INT "$server"
code=0
wait "$server" || code=$?
[ "$code" = 130 ] || { echo "the server ended with $code, want 130"; exit 1; }
server=
