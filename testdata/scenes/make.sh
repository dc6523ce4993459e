#!/usr/bin/env bash
# Makes the sample pictures and animations of this folder and the values they are
# checked against.
#
#   make.sh DIR [SEED COUNT]
#
# writes the samples to DIR, or with SEED and COUNT as many random animations.
# Origin of the stored files: ImageMagick 6.9.11-60 Q16 (Debian), which drew the
# samples and computed the expected values, an implementation independent of this
# project:
#   NAME.gif  + NAME.gif.txt   frames after `-coalesce`, 8-bit RGBA, and delays
#   NAME.png  + NAME.png.txt   linear light, averaged with a box filter, then
#                              weighted to Rec. 709 luminance, 16-bit. The linear
#                              values are declared sRGB before the weighting, or
#                              they would be encoded again on the way out.
set -euo pipefail
out=${1:?usage: make.sh DIR [SEED COUNT]}
mkdir -p "$out"
cd "$out"

# expect_gif FILE: the picture after each frame, one line of hex per row.
expect_gif() {
  {
    echo "# ImageMagick: convert $1 -coalesce -depth 8 rgba:-"
    echo "size $(convert "$1[0]" -format '%W %H' info:)"
    echo "delays $(convert "$1" -format '%T ' info:)"
    local width
    width=$(convert "$1[0]" -format '%W' info:)
    convert "$1" -coalesce -depth 8 rgba:- | xxd -p -c $((4 * width))
  } >"$1.txt"
}

# expect_png FILE FIT ROWS COLS OPERATIONS...: linear luminance on the grid.
expect_png() {
  local file=$1 fit=$2 rows=$3 cols=$4
  shift 4
  {
    echo "# ImageMagick: convert $file -colorspace RGB $* -set colorspace sRGB -grayscale Rec709Luma -depth 16 gray:-"
    echo "fit $fit"
    echo "grid $rows $cols"
    convert "$file" -colorspace RGB "$@" -set colorspace sRGB -grayscale Rec709Luma -depth 16 -endian MSB gray:- | xxd -p -c $((2 * cols))
  } >"$file.txt"
}

random_gif() { # FILE, with $RANDOM seeded by the caller
  local args=(-size 16x10 -delay $((RANDOM % 30)) -dispose none)
  if ((RANDOM % 2)); then args+=(xc:"rgb($((RANDOM % 256)),$((RANDOM % 256)),$((RANDOM % 256)))"); else args+=(xc:none); fi
  local n=$((3 + RANDOM % 6)) dispose=(none background previous undefined)
  for ((i = 0; i < n; i++)); do
    local w=$((1 + RANDOM % 12)) h=$((1 + RANDOM % 8))
    local x=$((RANDOM % (17 - w))) y=$((RANDOM % (11 - h)))
    args+=(-delay $((RANDOM % 300)) -dispose "${dispose[RANDOM % 4]}")
    args+=('(' -size ${w}x$h)
    if ((RANDOM % 2)); then args+=(xc:none); else args+=(xc:"rgb($((RANDOM % 256)),$((RANDOM % 256)),$((RANDOM % 256)))"); fi
    args+=(+antialias -fill "rgb($((RANDOM % 256)),$((RANDOM % 256)),$((RANDOM % 256)))"
      -draw "rectangle 0,0 $((RANDOM % w)),$((RANDOM % h))" -repage "16x10+$x+$y" ')')
  done
  if ((RANDOM % 2)); then args+=(-interlace GIF); fi
  convert "${args[@]}" "$1"
}

if [ $# -gt 1 ]; then
  RANDOM=$2
  for ((k = 0; k < $3; k++)); do
    random_gif "random$k.gif"
    expect_gif "random$k.gif"
  done
  exit
fi

# Every disposal method, partial frames, transparency, delays of 0 to 2.5 s.
convert -page 16x10+0+0 -size 16x10 -delay 20 -dispose none xc:navy \
  -delay 5 -dispose previous -page 16x10+2+1 -size 6x4 xc:red \
  -delay 0 -dispose background -page 16x10+7+3 -size 8x6 xc:lime \
  -delay 1 -dispose none \( -page 16x10+0+2 -size 9x7 xc:none +antialias -fill yellow -draw 'rectangle 2,1 6,4' \) \
  -delay 250 -dispose previous \( -page 16x10+5+0 -size 11x10 xc:none +antialias -fill white -draw 'line 0,0 10,9' \) \
  -delay 10 -dispose undefined -page 16x10+14+8 -size 2x2 xc:gray50 \
  disposal.gif
expect_gif disposal.gif

# A colour table of its own for every frame; interlaced.
convert -size 16x10 -delay 7 -dispose none gradient:red-blue gradient:yellow-black gradient:white-green \
  -interlace GIF palettes.gif
expect_gif palettes.gif

# First frame smaller than the screen, the rest of which stays transparent. It has
# a transparent pixel itself, for in a file without any ImageMagick fills the
# screen with the colour of index 0, where browsers leave it clear.
convert \( -page 12x9+4+3 -size 5x4 -delay 12 -dispose background xc:orange \
    -alpha set -channel A -fx 'i==0&&j==0?0:1' +channel \) \
  -page 12x9+0+0 -size 12x2 -delay 34 -dispose none xc:white \
  partial.gif
expect_gif partial.gif

# Ratio of whole numbers: the box filter is the area average.
convert -seed 7 -size 48x30 plasma:red-cyan -depth 8 -strip exact.png
expect_png exact.png stretch 10 16 -filter box -resize '16x10!'

# No whole ratio: every pixel is first repeated, which makes it one.
convert -seed 8 -size 37x23 plasma:white-blue -depth 8 -strip uneven.png
expect_png uneven.png stretch 10 16 -filter point -resize '592x230!' -filter box -resize '16x10!'

# Fewer pixels than the grid.
convert -seed 9 -size 5x3 plasma:yellow-navy -depth 8 -strip small.png
expect_png small.png stretch 10 16 -filter point -resize '80x30!' -filter box -resize '16x10!'

# In proportion: the overhang cut off, and bars of black beside.
convert -seed 10 -size 50x30 plasma:green-magenta -depth 8 -strip crop.png
expect_png crop.png crop 10 16 -crop 48x30+1+0 +repage -filter box -resize '16x10!'
convert -seed 11 -size 64x32 plasma:orange-gray -depth 8 -strip letterbox.png
expect_png letterbox.png letterbox 10 16 -filter box -resize '16x8!' -background black -gravity center -extent 16x10

# Sixteen bits per component.
convert -seed 12 -size 32x20 plasma:tomato-teal -depth 16 -strip deep.png
expect_png deep.png stretch 10 16 -filter box -resize '16x10!'

# Half-transparent pixels over black, mixed in linear light.
convert -seed 13 -size 32x20 plasma:lime-white \( -size 32x20 gradient:white-black \) \
  -alpha off -compose copy-opacity -composite -depth 8 -strip alpha.png
expect_png alpha.png stretch 10 16 -background black -alpha remove -filter box -resize '16x10!'
