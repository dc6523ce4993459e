package compose

import (
	"bytes"
	"context"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/extent"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/read"
	"lodegrid/scenes/table"
)

// The largest grid a design can have is good for every kind of scene and file.
func TestLargestGrid(t *testing.T) {
	const n = extent.MaxSide
	d, err := design.Read("large.toml", strings.NewReader("[grid]\nrows = 512\ncols = 512\n[tank]\nspacers = \"60 mm\"\n[scene]\nduration = \"2 s\"\nframe_time = \"1 s\"\n"))
	if err != nil || d.Grid.Rows != n || d.Grid.Cols != n {
		t.Fatal(d.Grid, err)
	}
	if _, err := design.Read("large.toml", strings.NewReader("[grid]\nrows = 513\n")); err == nil || !strings.Contains(err.Error(), "accepted: 1 to 512") {
		t.Errorf("513 rows: error %v", err)
	}
	ctx := context.Background()
	for _, k := range generate.Kinds() {
		p, err := generate.Defaults(k.Name, d.Grid.Rows, d.Grid.Cols)
		if err != nil {
			t.Fatal(err)
		}
		p.Duration, p.FrameTime = d.Scene.Duration, d.Scene.FrameTime
		s, err := generate.Scene(ctx, k.Name, p)
		if err != nil {
			t.Errorf("%s: %v", k.Name, err)
			continue
		}
		// Frames that differ only in the far corner, and none at all.
		s.Frames = append(s.Frames[:1], s.Frames[0], s.Frames[0])
		s.Frames[1].Levels = slices.Clone(s.Frames[0].Levels)
		s.Frames[1].Levels[n*n-1] = 1 - s.Frames[0].Levels[n*n-1]
		s.Frames[2].Levels = s.Frames[1].Levels
		var csv, binary bytes.Buffer
		if err := table.WriteCSV(ctx, &csv, s); err != nil {
			t.Errorf("%s: %v", k.Name, err)
		}
		if err := table.WriteBinary(ctx, &binary, s, 16, table.DriveOf(trial.Lit())); err != nil {
			t.Errorf("%s: %v", k.Name, err)
		}
		got, err := table.ReadCSV(ctx, &csv, k.Name, n, n, scenes.DefaultLimits())
		if err != nil || !reflect.DeepEqual(got, s) {
			t.Errorf("%s does not come back from a level table: %v", k.Name, err)
		}
		got, err = table.ReadBinary(ctx, &binary, k.Name, scenes.DefaultLimits())
		if err != nil || len(got.Frames) != 3 {
			t.Errorf("%s: %d frames from a frame table: %v", k.Name, len(got.Frames), err)
			continue
		}
		for i, f := range got.Frames {
			for p, v := range f.Levels {
				if math.Abs(v-s.Frames[i].Levels[p]) > 0.5/32767+1e-12 {
					t.Fatalf("%s, frame %d, pixel %d: %g, want %g", k.Name, i, p, v, s.Frames[i].Levels[p])
				}
			}
		}
	}
	o := read.DefaultOptions()
	s, err := read.Picture(ctx, bytes.NewReader(sample(t, "small.png")), "x.png", n, n, o)
	if err != nil {
		t.Errorf("picture: %v", err)
	}
	if s, err = read.GIF(ctx, bytes.NewReader(blinkingGIF(t)), "x.gif", n, n, o); err != nil || s.Frames[0].Levels[n-1] != 1 {
		t.Errorf("GIF: %v", err)
	}
	if s, err = read.WAV(ctx, bytes.NewReader(sample(t, "sines24.wav")), "x.wav", n, n, read.Options{FrameTime: 1, ZeroDelay: 1, Fit: read.Crop, Mapping: scenes.DefaultMapping(), Audio: read.DefaultAudio(), Limits: scenes.DefaultLimits()}); err != nil {
		t.Errorf("sound: %v", err)
	}
}
