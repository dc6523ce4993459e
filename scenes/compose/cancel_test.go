package compose

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/png"
	"io"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"lodegrid/array/design/trial"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/read"
	"lodegrid/scenes/table"
)

// checkedContext counts how often it is asked whether it is done, and is done from
// the limit-th time on.
type checkedContext struct {
	context.Context
	asked, limit int
}

func (c *checkedContext) Err() error {
	if c.asked++; c.asked >= c.limit {
		return context.Canceled
	}
	return nil
}

// cancellable is work of some size by every door that takes a context, with the least
// number of times it must look whether it is to stop.
func cancellable(t *testing.T) map[string]struct {
	checks int
	work   func(context.Context) error
} {
	t.Helper()
	tide := generated(t, "tide", 10, 16, nil)
	var csv, binary, picture bytes.Buffer
	if err := errors.Join(table.WriteCSV(context.Background(), &csv, tide), table.WriteBinary(context.Background(), &binary, tide, 16, table.DriveOf(trial.Lit())),
		png.Encode(&picture, image.NewGray(image.Rect(0, 0, 64, 1000)))); err != nil {
		t.Fatal(err)
	}
	o := read.DefaultOptions()
	cases := map[string]struct {
		checks int
		work   func(context.Context) error
	}{
		"GIF": {3, func(ctx context.Context) error {
			_, err := read.GIF(ctx, bytes.NewReader(sample(t, "disposal.gif")), "x", 10, 16, o)
			return err
		}},
		"picture": {1000, func(ctx context.Context) error {
			_, err := read.Picture(ctx, bytes.NewReader(picture.Bytes()), "x", 10, 16, o)
			return err
		}},
		"folder": {2000, func(ctx context.Context) error {
			_, err := read.Folder(ctx, fstest.MapFS{"a.png": {Data: picture.Bytes()}, "b.png": {Data: picture.Bytes()}}, ".", "x", 10, 16, o)
			return err
		}},
		"sound": {10, func(ctx context.Context) error {
			_, err := read.WAV(ctx, bytes.NewReader(sample(t, "sines24.wav")), "x", 10, 16, o)
			return err
		}},
		"level table": {csv.Len() / (64 << 10), func(ctx context.Context) error {
			_, err := table.ReadCSV(ctx, bytes.NewReader(csv.Bytes()), "x", 10, 16, o.Limits)
			return err
		}},
		"frame table": {binary.Len() / (64 << 10), func(ctx context.Context) error {
			_, err := table.ReadBinary(ctx, bytes.NewReader(binary.Bytes()), "x", o.Limits)
			return err
		}},
		"scene file": {600, func(ctx context.Context) error {
			_, err := Read(ctx, strings.NewReader("[[clip]]\nkind = \"tide\"\n"), "x", ".", 10, 16, o)
			return err
		}},
		"file": {3, func(ctx context.Context) error {
			_, err := Open(ctx, filepath.Join(samples, "disposal.gif"), 10, 16, o)
			return err
		}},
		"composing": {600, func(ctx context.Context) error {
			_, err := Clips(ctx, "x", 10, 16, []Clip{{Scene: tide}}, NoDriveLimits())
			return err
		}},
		"mapping":     {600, func(ctx context.Context) error { _, err := scenes.DefaultMapping().Scene(ctx, tide); return err }},
		"writing CSV": {600, func(ctx context.Context) error { return table.WriteCSV(ctx, io.Discard, tide) }},
		"writing frame table": {600, func(ctx context.Context) error {
			return table.WriteBinary(ctx, io.Discard, tide, 8, table.DriveOf(trial.Lit()))
		}},
	}
	for _, k := range generate.Kinds() {
		frames := len(generated(t, k.Name, 16, 20, nil).Frames)
		cases["generating "+k.Name] = struct {
			checks int
			work   func(context.Context) error
		}{frames / 2, func(ctx context.Context) error { // a hand-over's steps have two frames
			p, err := generate.Defaults(k.Name, 16, 20)
			if err != nil {
				return err
			}
			_, err = generate.Scene(ctx, k.Name, p)
			return err
		}}
	}
	return cases
}

// Whatever takes time looks often whether it is to stop, and stops wherever that is.
func TestCancelledAnywhere(t *testing.T) {
	for name, test := range cancellable(t) {
		whole := &checkedContext{Context: context.Background(), limit: 1 << 30}
		if err := test.work(whole); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if whole.asked < max(1, test.checks) {
			t.Errorf("%s: looked %d times whether to stop, want at least %d", name, whole.asked, test.checks)
		}
		for _, limit := range []int{1, (whole.asked + 1) / 2, whole.asked} {
			if err := test.work(&checkedContext{Context: context.Background(), limit: limit}); !errors.Is(err, context.Canceled) {
				t.Errorf("%s, cancelled at look %d of %d: %v", name, limit, whole.asked, err)
			}
		}
	}
}
