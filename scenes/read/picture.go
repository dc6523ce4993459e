package read

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
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

// Bytes of a picture's file before its size, and of a decoded PNG up to which the
// standard decoder reads it whole.
const (
	pictureHead = 16 << 20
	pngWhole    = 16 << 20
)

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
	if kind == "png" && animatedPNG(head.Bytes()) {
		return scenes.InputErrorf(name, "an animated PNG: only its first picture could be read; save it as GIF or as a folder of pictures")
	}
	a := newAverager(conf.Width, conf.Height, rows, cols, o.Fit, o.Background)
	a.begin(dst)
	file := io.MultiReader(bytes.NewReader(head.Bytes()), in)
	var png pngHeader
	needs := int64(0)
	if kind == "png" {
		png, err = parsePNGHeader(head.Bytes())
		needs = png.decoded()
	} else {
		cost := jpegCostOf(head.Bytes())
		needs = cost.memory
		file = &scanCounter{r: file, cost: cost, limits: o.Limits}
	}
	byRows := kind == "png" && needs > pngWhole && !png.interlaced
	switch {
	case err != nil:
	case byRows:
		err = averageByRows(ctx, dst, file, png, a)
	default:
		if err := o.Limits.CheckMemory("the picture", needs); err != nil {
			return scenes.InputErrorf(name, "%w", err)
		}
		err = averageDecoded(ctx, dst, file, a)
	}
	if err != nil {
		return pictureError(name, in, err)
	}
	o.Mapping.Map(dst, dst, cols)
	return nil
}

func averageByRows(ctx context.Context, dst []float64, file io.Reader, h pngHeader, a *averager) error {
	p, err := newPNGRows(file, h, a.background)
	if err != nil {
		return err
	}
	if err := a.whole(ctx, dst, p.luminances); err != nil {
		return err
	}
	return p.finish(ctx)
}

// averageDecoded reads a picture with the standard decoders.
func averageDecoded(ctx context.Context, dst []float64, file io.Reader, a *averager) error {
	img, _, err := image.Decode(bufio.NewReader(file))
	if err != nil {
		return err
	}
	return a.whole(ctx, dst, rowsOf(img, a.background))
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

// animatedPNG tells whether the start of a PNG file holds an acTL chunk, which
// must come before the image data (PNG Third Edition, W3C 2025, 11.3.6.1).
func animatedPNG(head []byte) bool {
	const signature = 8
	for at := signature; at+8 <= len(head); {
		size := int64(binary.BigEndian.Uint32(head[at:]))
		switch string(head[at+4 : at+8]) {
		case "acTL":
			return true
		case "IDAT":
			return false
		}
		next := int64(at) + 12 + size
		if next > int64(len(head)) {
			return false
		}
		at = int(next)
	}
	return false
}
