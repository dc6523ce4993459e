package drive

import (
	"context"
	"math/rand/v2"
	"testing"

	"lodegrid/field/countdown"
)

func TestCancelled(t *testing.T) {
	for _, c := range []struct {
		mode Mode
		most int
	}{{Stagger, 125}, {Scan, 25}, {Kick, 5}} {
		t.Run(string(c.mode), func(t *testing.T) {
			d := mustNew(t, grid64(c.mode))
			levels, resistance := picture(rand.New(rand.NewPCG(1, 2)), d)
			m := d.NewMeter()
			m.Effort = 1e9
			countdown.Stops(t, c.most, func(ctx context.Context) error {
				_, err := m.FrameLoad(ctx, nil, levels, resistance, 0.1)
				return err
			})
			if c.mode == Stagger {
				countdown.Stops(t, c.most, func(ctx context.Context) error {
					_, _, err := m.Stagger(ctx, levels, resistance)
					return err
				})
			}
		})
	}
}
