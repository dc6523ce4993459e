package verdict

import (
	"math/rand/v2"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/player"
)

// lit is a player of the lit demo with changes.
func lit(b *testing.B, changes ...design.Change) *player.Player {
	b.Helper()
	d, err := trial.Lit().With(changes...)
	if err != nil {
		b.Fatal(err)
	}
	return playerOf(b, d)
}

// The whole verdict, remedies included, on the demo and on 64 × 64 of its pixels.
func BenchmarkJudge(b *testing.B) {
	for _, c := range []struct {
		name    string
		changes []design.Change
	}{{"demo", nil}, {"64x64", []design.Change{{Key: "grid.cols", Value: "64"}, {Key: "grid.rows", Value: "64"}}}} {
		p := lit(b, c.changes...)
		n := p.Grid().Design.Grid
		settings, err := generate.Defaults("tide", n.Rows, n.Cols)
		if err != nil {
			b.Fatal(err)
		}
		s, err := generate.Scene(b.Context(), "tide", settings)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := Judge(b.Context(), p, s, Watch{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// unlike is frames of pictures that are all unlike: a pixel in six lit, at any of 255 levels.
func unlike(frames, rows, cols int, seconds float64) scenes.Scene {
	random := rand.New(rand.NewPCG(1, 2))
	s := scenes.Scene{Name: "unlike", Rows: rows, Cols: cols}
	for range frames {
		levels := make([]float64, rows*cols)
		for i := range levels {
			if random.IntN(6) == 0 {
				levels[i] = float64(1+random.IntN(255)) / 255
			}
		}
		s.Frames = append(s.Frames, scenes.Frame{Levels: levels, Duration: seconds})
	}
	return s
}

// The whole verdict but for remedies on frames none of which is like another, a few of them,
// and what all would take at that rate: a minute of frames of a millisecond on 16 × 10 pixels
// and an hour of 30 frames a second on 64 × 64.
func BenchmarkUnlike(b *testing.B) {
	for _, c := range []struct {
		name       string
		rows, cols string
		few, all   int
		seconds    float64
	}{{"minute/16x10", "10", "16", 3000, 60_000, 1e-3}, {"hour/64x64", "64", "64", 60, 108_000, 1.0 / 30}} {
		p := lit(b, design.Change{Key: "grid.rows", Value: c.rows}, design.Change{Key: "grid.cols", Value: c.cols})
		n := p.Grid().Design.Grid
		s := unlike(c.few, n.Rows, n.Cols, c.seconds)
		b.Run(c.name, func(b *testing.B) {
			rounds := 0
			for b.Loop() {
				rounds++
				if _, err := Judge(b.Context(), p, s, Watch{Bare: true}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(b.Elapsed().Seconds()/float64(rounds*c.few)*float64(c.all), "s-all")
		})
	}
}
