package player

import (
	"context"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
)

// tideOn is the demo on n × n pixels, of any changes, with its tide.
func tideOn(tb testing.TB, n string, changes ...design.Change) (*Player, scenes.Scene) {
	tb.Helper()
	d, err := trial.Lit().With(append(changes, design.Change{Key: "grid.cols", Value: n}, design.Change{Key: "grid.rows", Value: n})...)
	if err != nil {
		tb.Fatal(err)
	}
	return demoOf(tb, d)
}

// demoOf is a player of a design and the tide that its scene section describes.
func demoOf(tb testing.TB, d design.Design) (*Player, scenes.Scene) {
	tb.Helper()
	params, err := generate.Defaults("tide", d.Grid.Rows, d.Grid.Cols)
	if err != nil {
		tb.Fatal(err)
	}
	params.Duration, params.FrameTime, params.Band, params.Seed = d.Scene.Duration, d.Scene.FrameTime, d.Scene.Band, d.Scene.Seed
	s, err := generate.Scene(context.Background(), "tide", params)
	if err != nil {
		tb.Fatal(err)
	}
	m := scenes.DefaultMapping()
	m.Kind, m.Threshold, m.Level = scenes.MappingKind(d.Scene.Mapping), d.Scene.Threshold, d.Scene.Level
	if s, err = m.Scene(context.Background(), s); err != nil {
		tb.Fatal(err)
	}
	g, err := grid.New(tb.Context(), d, 0)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := New(g)
	if err != nil {
		tb.Fatal(err)
	}
	return p, s
}

// The whole of what the report asks of a player, on 64 × 64 pixels.
func BenchmarkReport64(b *testing.B) {
	p, s := tideOn(b, "64")
	b.Run("warm", func(b *testing.B) {
		for b.Loop() {
			p.Reset()
			if _, err := p.Warm(b.Context(), s); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("play", func(b *testing.B) {
		for b.Loop() {
			p.Reset()
			if _, err := p.Play(b.Context(), s, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("steady", func(b *testing.B) {
		for b.Loop() {
			if _, err := p.Steady(b.Context(), p.Uniform(1)); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// A minute of the demo's tide in frames of a millisecond: settled, then played.
func BenchmarkMilliseconds(b *testing.B) {
	d, err := trial.Lit().With(design.Change{Key: "scene.frame_time", Value: "1 ms"})
	if err != nil {
		b.Fatal(err)
	}
	p, s := demoOf(b, d)
	for b.Loop() {
		p.Reset()
		if _, err := p.Warm(b.Context(), s); err != nil {
			b.Fatal(err)
		}
		if _, err := p.Play(b.Context(), s, nil); err != nil {
			b.Fatal(err)
		}
	}
}
