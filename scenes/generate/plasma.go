package generate

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"

	"lodegrid/scenes"
)

func plasmaDefaults(p *Params) {
	p.Period, p.Duration = 12, 12
	p.Wavelength = float64(max(p.Rows, p.Cols))
}

// plasma is the mean of four plane waves with directions, phases and senses of
// travel from the seed, the lengths Wavelength·(1, 0.8, 0.6, 0.5), and 1 to 3
// cycles per period each, so that it repeats without a jump when the duration is
// a multiple of the period. A mean of −1…1 is brightness 0…1.
func plasma(ctx context.Context, p Params) (scenes.Scene, error) {
	if err := cmp.Or(
		positive("period", p.Period, "s"),
		positive("wavelength", p.Wavelength, "pixels"),
	); err != nil {
		return scenes.Scene{}, err
	}
	type wave struct{ kx, ky, cycles, phase float64 }
	rng := rand.New(rand.NewPCG(p.Seed, 0))
	waves := make([]wave, 4)
	for i := range waves {
		k := 2 * math.Pi / (p.Wavelength * [...]float64{1, 0.8, 0.6, 0.5}[i])
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		waves[i] = wave{kx: k * cos, ky: k * sin, cycles: float64(1 + rng.IntN(3)), phase: 2 * math.Pi * rng.Float64()}
	}
	return p.timed(ctx, p.Duration, p.FrameTime, func(i int, levels []float64) {
		t := float64(i) * p.FrameTime
		for k := range levels {
			x, y := float64(k%p.Cols), float64(p.Rows-1-k/p.Cols)
			var sum float64
			for _, w := range waves {
				sum += math.Sin(w.kx*x + w.ky*y - 2*math.Pi*w.cycles*t/p.Period + w.phase)
			}
			levels[k] = math.Min(1, math.Max(0, 0.5+0.5*sum/float64(len(waves))))
		}
	})
}
