#!/usr/bin/env bash
# The window in a browser: builds the command for WebAssembly, opens `play` in a
# headless Chromium with software graphics and looks for the meters in words, which
# the page must hold for those who cannot see the picture.
set -euo pipefail
cd "$(dirname "$0")/../.."
browser=$(command -v chromium || command -v chromium-browser || command -v google-chrome || true)
if [ -z "$browser" ]; then
	echo "live_browser: no Chromium here; skipped"
	exit 0
fi
dir=$(mktemp -d)
server=
trap 'if [ -n "$server" ]; then kill "$server"; fi; rm -rf "$dir"' EXIT
GOOS=js GOARCH=wasm go build -o "$dir/lodegrid.wasm" ./cmd/lodegrid
cp "$(go env GOROOT)/lib/wasm/wasm_exec.js" "$dir/"
cat >"$dir/index.html" <<'PAGE'
<!doctype html><meta charset="utf-8"><title>lodegrid</title><body style="margin:0">
<script src="wasm_exec.js"></script><script>
const go = new Go();
go.argv = ["lodegrid", "play"];
WebAssembly.instantiateStreaming(fetch("lodegrid.wasm"), go.importObject).then(r => go.run(r.instance));
</script></body>
PAGE
python3 - "$dir" >"$dir/port" 2>"$dir/log" <<'SERVE' &
import functools, http.server, sys
http.server.SimpleHTTPRequestHandler.extensions_map[".wasm"] = "application/wasm"
handler = functools.partial(http.server.SimpleHTTPRequestHandler, directory=sys.argv[1])
server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
print(server.server_port, flush=True)
server.serve_forever()
SERVE
server=$!
for _ in $(seq 50); do
	[ -s "$dir/port" ] && break
	sleep 0.1
done
timeout 180 "$browser" --headless --no-sandbox --user-data-dir="$dir/profile" --use-angle=swiftshader --enable-unsafe-swiftshader \
	--window-size=1280,800 --virtual-time-budget=30000 --timeout=120000 --dump-dom "http://127.0.0.1:$(cat "$dir/port")/" >"$dir/dom" 2>/dev/null
for want in 'aria-live="polite"' 'Supply power' 'W now' 'Hottest coil' 'Lit pixels that lose their drop' '<canvas'; do
	if ! grep -qF "$want" "$dir/dom"; then
		echo "live_browser: the page lacks: $want"
		tail -c 2000 "$dir/dom"
		exit 1
	fi
done
echo "live_browser: $(grep -F 'Supply power' "$dir/dom" | head -1)"
