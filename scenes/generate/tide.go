package generate

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"

	"lodegrid/scenes"
)

func tideDefaults(p *Params) {
	p.Period, p.Duration = 30, 30
	p.Low, p.High = 0.2, 0.8
	p.WaveHeight = float64(p.Rows) / 5
	p.Wavelength = float64(p.Cols)
	p.WavePeriod = 10
}

// tide fills the grid with water up to a level that goes from low water to high
// and back as a cosine, with a wave on it that runs to the right:
//
//	h(x,t) = Rows·(Low + (High−Low)·(1−cos(2πt/Period))/2)
//	       + WaveHeight/2·(0.8·sin(2π(x/Wavelength − t/WavePeriod) + φ1)
//	                     + 0.2·sin(4π(x/Wavelength − t/WavePeriod) + φ2))
//
// in pixels above the bottom, with phases from the seed. A pixel is as bright as
// the share of it under water, less Fade in proportion to its depth; with a Band
// only the water's top is lit, that many pixels of it, and the rest stays dark. The scene
// repeats without a jump when its duration is a multiple of both periods.
func tide(ctx context.Context, p Params) (scenes.Scene, error) {
	if err := cmp.Or(
		positive("period", p.Period, "s"),
		positive("wavelength", p.Wavelength, "pixels"),
		positive("wave period", p.WavePeriod, "s"),
		within("low water", p.Low, 0, 1),
		within("high water", p.High, p.Low, 1),
		within("wave height", p.WaveHeight, 0, float64(p.Rows)),
		within("fade", p.Fade, 0, 1),
		within("band", p.Band, 0, float64(p.Rows)),
	); err != nil {
		return scenes.Scene{}, err
	}
	rng := rand.New(rand.NewPCG(p.Seed, 0))
	phase1, phase2 := 2*math.Pi*rng.Float64(), 2*math.Pi*rng.Float64()
	rows := float64(p.Rows)
	const parts = 8 // of a column, over which the sloping surface is averaged
	return p.timed(ctx, p.Duration, p.FrameTime, func(i int, levels []float64) {
		t := float64(i) * p.FrameTime
		water := rows * (p.Low + (p.High-p.Low)*(1-math.Cos(2*math.Pi*t/p.Period))/2)
		for col := range p.Cols {
			for part := range parts {
				x := float64(col) + (float64(part)+0.5)/parts
				a := 2 * math.Pi * (x/p.Wavelength - t/p.WavePeriod)
				h := water + p.WaveHeight/2*(0.8*math.Sin(a+phase1)+0.2*math.Sin(2*a+phase2))
				for row := range p.Rows {
					under := math.Min(1, h-(rows-1-float64(row))) // depth of water in the pixel
					if under <= 0 {
						continue
					}
					depth := math.Max(0, h-(rows-0.5-float64(row)))
					levels[row*p.Cols+col] += under * inBand(p.Band, depth) * math.Max(0, 1-p.Fade*depth/rows) / parts
				}
			}
		}
	})
}

// inBand is 1 for a depth below the surface, in pixels, inside the lit band, else
// 0; a band of 0 reaches to the bottom.
func inBand(band, depth float64) float64 {
	if band == 0 || depth < band {
		return 1
	}
	return 0
}
