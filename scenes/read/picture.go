package read

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	_ "image/jpeg" // registers the decoder
	_ "image/png"  // registers the decoder
	"io"

	"lodegrid/scenes"
)

// Picture reads one PNG or JPEG picture as a scene of a single frame that
// lasts o.FrameTime. The picture's size is checked from its header before it is
// decoded.
func Picture(ctx context.Context, r io.Reader, name string, rows, cols int, o Options) (scenes.Scene, error) {
	if err := o.Check(rows, cols); err != nil {
		return scenes.Scene{}, fmt.Errorf("reading picture %s: %w", name, err)
	}
	s := scenes.New(name, rows, cols, 1, o.FrameTime)
	if err := readPicture(ctx, s.Frames[0].Levels, r, name, rows, cols, o); err != nil {
		return scenes.Scene{}, err
	}
	return s, nil
}

// pictureHead is how many bytes of a picture's file may stand before its size.
const pictureHead = 16 << 20

// readPicture decodes one picture to levels.
func readPicture(ctx context.Context, dst []float64, r io.Reader, name string, rows, cols int, o Options) error {
	in := o.Limits.Reader(ctx, r)
	// What the header parser consumes is kept and read again by the decoder.
	var head bytes.Buffer
	conf, kind, err := image.DecodeConfig(bufio.NewReader(io.TeeReader(io.LimitReader(in, pictureHead), &head)))
	if err != nil && head.Len() == pictureHead {
		return scenes.InputErrorf(name, "the size of the picture is not within the first %d MiB of the file", pictureHead>>20)
	}
	if err != nil {
		return pictureError(name, in, err)
	}
	if kind != "png" && kind != "jpeg" {
		return scenes.InputErrorf(name, "a %s picture where PNG or JPEG is read", kind)
	}
	if err := o.Limits.CheckPicture(conf.Width, conf.Height); err != nil {
		return scenes.InputErrorf(name, "%w", err)
	}
	if kind == "png" && pngHas(head.Bytes(), "acTL") {
		return scenes.InputErrorf(name, "an animated PNG: only its first picture could be read; save it as GIF or as a folder of pictures")
	}
	a := newAverager(conf.Width, conf.Height, rows, cols, o.Fit, o.Background)
	a.begin(dst)
	file := io.MultiReader(bytes.NewReader(head.Bytes()), in)
	needs := int64(0)
	if kind == "png" {
		needs = pngMemory(head.Bytes(), conf)
	} else {
		cost := jpegCostOf(head.Bytes())
		needs = cost.memory
		file = &scanCounter{r: file, cost: cost, limits: o.Limits}
	}
	if err := o.Limits.CheckMemory("the picture", needs); err != nil {
		return scenes.InputErrorf(name, "%w", err)
	}
	img, _, err := image.Decode(bufio.NewReader(file))
	if err == nil {
		err = a.whole(ctx, dst, rowsOf(img, a.background))
	}
	if err != nil {
		return pictureError(name, in, err)
	}
	o.Mapping.Map(dst, dst, cols)
	return nil
}

func pictureError(name string, in *scenes.BoundedReader, err error) error {
	switch {
	case in.Failed != nil:
		return scenes.InputErrorf(name, "reading after %d bytes: %w", in.Count(), in.Failed)
	case errors.Is(err, image.ErrFormat):
		return scenes.InputErrorf(name, "not a PNG or JPEG picture")
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return scenes.InputErrorf(name, "the file ends within the picture, after %d bytes: cut off", in.Count())
	}
	return scenes.InputErrorf(name, "decoding the picture, %d bytes read: %w", in.Count(), err)
}

// pngMemory is how many bytes the standard decoder takes for a PNG picture.
func pngMemory(head []byte, conf image.Config) int64 {
	perPixel := int64(4)
	clear := pngHas(head, "tRNS") || !pngHas(head, "IDAT") // what comes after the head may clear pixels
	_, paletted := conf.ColorModel.(color.Palette)
	switch c := conf.ColorModel; {
	case c == color.RGBA64Model || c == color.NRGBA64Model || c == color.Gray16Model && clear:
		perPixel = 8
	case c == color.Gray16Model:
		perPixel = 2
	case c == color.GrayModel && !clear, paletted:
		perPixel = 1
	}
	if head[28] != 0 { // interlaced: its passes, too
		perPixel *= 2
	}
	return int64(conf.Width) * int64(conf.Height) * perPixel
}

// pngHas tells whether the start of a PNG file holds a chunk: IDAT, the image data, or one that
// must come before it, as acTL and tRNS must (PNG Third Edition, W3C 2025, 5.6).
func pngHas(head []byte, chunk string) bool {
	const signature = 8
	for at := signature; at+8 <= len(head); {
		switch string(head[at+4 : at+8]) {
		case chunk:
			return true
		case "IDAT":
			return false
		}
		next := int64(at) + 12 + int64(binary.BigEndian.Uint32(head[at:]))
		if next > int64(len(head)) {
			return false
		}
		at = int(next)
	}
	return false
}
