package verdict

import (
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/player"
)

// The whole verdict, remedies included, on the demo and on 64 × 64 of its pixels.
func BenchmarkJudge(b *testing.B) {
	for _, c := range []struct {
		name    string
		changes []design.Change
	}{{"demo", nil}, {"64x64", []design.Change{{Key: "grid.cols", Value: "64"}, {Key: "grid.rows", Value: "64"}}}} {
		d, err := trial.Lit().With(c.changes...)
		if err != nil {
			b.Fatal(err)
		}
		g, err := grid.New(b.Context(), d, 0)
		if err != nil {
			b.Fatal(err)
		}
		p, err := player.New(g)
		if err != nil {
			b.Fatal(err)
		}
		settings, err := generate.Defaults("tide", d.Grid.Rows, d.Grid.Cols)
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
