#!/usr/bin/env bash
# Compares the scene readers with ImageMagick, live: makes the samples again and
# holds them against the stored values, then reads random animations (disposal
# methods, partial frames, transparency, interlace) and compares every pixel.
set -euo pipefail
cd "$(dirname "$0")/../.."
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT

bash testdata/scenes/make.sh "$tmp/samples"
for f in testdata/scenes/*.gif.txt testdata/scenes/*.png.txt; do
  if cmp -s "$f" "$tmp/samples/$(basename "$f")"; then
    echo "same as stored: $(basename "$f")"
  else
    echo "ImageMagick now gives other values for $(basename "$f")" >&2
    diff "$f" "$tmp/samples/$(basename "$f")" | head >&2 || true
    exit 1
  fi
done

bash testdata/scenes/make.sh "$tmp/random" 1 40
LODEGRID_GIF_REFERENCE="$tmp/random" go test ./scenes/read -count=1 -run '^TestGIFAgainstImageMagick$' -v | grep -v '^=== '
