package grid_test

import (
	"context"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/equalise"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/array/hold"
	"lodegrid/array/pixel"
	"lodegrid/array/wound"
	"lodegrid/field/countdown"
)

// large is a grid on which nothing is quick.
var large = []string{"grid.rows=64", "grid.cols=64"}

func TestCancelled(t *testing.T) {
	steel := trial.Design(t, append([]string{
		"iron.model=fem", "iron.radius=4 mm", "iron.thickness=0.5 mm", "iron.gap=0 mm",
		"magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=3 mm", "magnet.depth=0.6 mm",
	}, large...)...)
	t.Run("Build", func(t *testing.T) {
		countdown.Stops(t, 625, func(ctx context.Context) error {
			_, err := grid.New(ctx, steel, 0)
			return err
		})
	})
	t.Run("sheet", func(t *testing.T) {
		d := trial.Design(t, append([]string{"magnet.kind=sheet"}, large...)...)
		countdown.Stops(t, 625, func(ctx context.Context) error {
			_, err := grid.New(ctx, d, 0)
			return err
		})
	})
	plain := trial.Build(t, grid.New, 4, large...)
	magnets := trial.Build(t, grid.New, 4, "grid.rows=9", "grid.cols=9", "magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=3 mm", "heat.orientation=face-up")
	for _, c := range []struct {
		name string
		most int
		work func(ctx context.Context) error
	}{
		{"Handovers", 125, func(ctx context.Context) error { _, err := handover.All(ctx, magnets); return err }},
		{"Margins", 625, func(ctx context.Context) error {
			_, err := hold.Margins(ctx, plain, hold.Search{}, hold.TypicalPlaces(plain))
			return err
		}},
		{"LargestDrive", 625, func(ctx context.Context) error {
			_, err := hold.LargestDrive(ctx, plain, hold.Search{}, hold.TypicalPlaces(plain))
			return err
		}},
		{"SmallestPitch", 625, func(ctx context.Context) error {
			_, err := hold.SmallestPitch(ctx, plain, hold.Search{})
			return err
		}},
		{"Groups", 5, func(ctx context.Context) error { _, err := hold.FindGroups(ctx, plain, 4, 16); return err }},
		{"BiasSpread", 5, func(ctx context.Context) error { _, err := magnets.BiasSpread(ctx); return err }},
		{"Equaliser", 125, func(ctx context.Context) error {
			s, err := equalise.OnGrid(ctx, plain)
			if err != nil {
				return err
			}
			target := make([]float64, plain.Design.Pixels())
			for k := range target {
				target[k] = equalise.OwnField(plain, float64(k%7)/7)
			}
			_, err = s.Solve(ctx, target, nil)
			return err
		}},
		{"NewWound", 625, func(ctx context.Context) error { _, err := wound.New(ctx, wound.Default()); return err }},
	} {
		t.Run(c.name, func(t *testing.T) { countdown.Stops(t, c.most, c.work) })
	}
}

// The models of the steel and the inductance on a sheet of many images stop as well.
func TestCancelledSteel(t *testing.T) {
	d := trial.Design(t, "iron.model=slab", "iron.thickness=0.5 mm", "iron.gap=0 mm")
	p, err := pixel.New(t.Context(), d, d.Fluid.Height)
	if err != nil {
		t.Fatal(err)
	}
	countdown.Stops(t, 25, func(ctx context.Context) error { _, _, err := p.Inductance(ctx, d); return err })
	countdown.Stops(t, 625, func(ctx context.Context) error { _, err := pixel.CompareIron(ctx, d, p, []float64{2e-3}); return err })
}
