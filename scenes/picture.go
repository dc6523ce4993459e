package scenes

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
)

// ReadPicture reads one PNG or JPEG picture as a scene of a single frame that
// lasts o.FrameTime. The picture's size is checked from its header before it is
// decoded.
func ReadPicture(ctx context.Context, r io.Reader, name string, rows, cols int, o Options) (Scene, error) {
	if err := o.check(rows, cols); err != nil {
		return Scene{}, fmt.Errorf("reading picture %s: %w", name, err)
	}
	s := blank(name, rows, cols, 1, o.FrameTime)
	if err := readPicture(ctx, s.Frames[0].Levels, r, name, rows, cols, o); err != nil {
		return Scene{}, err
	}
	return s, nil
}

// readPicture decodes one picture to levels.
func readPicture(ctx context.Context, dst []float64, r io.Reader, name string, rows, cols int, o Options) error {
	in := o.Limits.reader(ctx, r)
	// What the header parser consumes is kept and read again by the decoder.
	var head bytes.Buffer
	conf, kind, err := image.DecodeConfig(bufio.NewReader(io.TeeReader(in, &head)))
	if err != nil {
		return pictureError(name, in, err)
	}
	if kind != "png" && kind != "jpeg" {
		return inputErrorf(name, "a %s picture where PNG or JPEG is read", kind)
	}
	if err := o.Limits.checkPicture(conf.Width, conf.Height); err != nil {
		return inputErrorf(name, "%w", err)
	}
	if kind == "png" && animatedPNG(head.Bytes()) {
		return inputErrorf(name, "an animated PNG: only its first picture could be read; save it as GIF or as a folder of pictures")
	}
	img, _, err := image.Decode(bufio.NewReader(io.MultiReader(&head, in)))
	if err != nil {
		return pictureError(name, in, err)
	}
	if err := Resample(ctx, dst, img, rows, cols, o.Fit, o.Background); err != nil {
		return inputErrorf(name, "%w", err)
	}
	o.Mapping.Map(dst, dst, cols)
	return nil
}

func pictureError(name string, in *limitedReader, err error) error {
	switch {
	case in.failed != nil:
		return inputErrorf(name, "reading after %d bytes: %w", in.count(), in.failed)
	case errors.Is(err, image.ErrFormat):
		return inputErrorf(name, "not a PNG or JPEG picture")
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return inputErrorf(name, "the file ends within the picture, after %d bytes: cut off", in.count())
	}
	return inputErrorf(name, "decoding the picture, %d bytes read: %w", in.count(), err)
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
