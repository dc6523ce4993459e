package ferrofluid

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// The force on a rigid disc by its field's mean and variances against an integral equation
// over the disc (testdata/ferrofluid), and what the local pressure makes of it.
func TestVariancesAgainstIntegralEquation(t *testing.T) {
	data, err := os.ReadFile("../../testdata/ferrofluid/discs.json")
	if err != nil {
		t.Fatal(err)
	}
	var f struct {
		Pitch float64
		Way   []float64
		Coils map[string][][3]float64
		Cases []struct {
			Diameter, Depth, Chi, Height float64
			Coil                         string
			Forces                       []float64
		}
	}
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	const rings, around, deep = 5, 20, 3
	square, ringShare := make([]float64, rings), make([]float64, rings)
	quad.Legendre{}.FixedLocations(square, ringShare, 0, 1)
	level, levelShare := make([]float64, deep), make([]float64, deep)
	quad.Legendre{}.FixedLocations(level, levelShare, -0.5, 0.5)
	type shape struct {
		diameter, depth, height float64
		coil                    string
	}
	type squares struct{ mean2, var2 [2]float64 } // along and across
	known := map[shape][][2]squares{}             // on both sides of each place
	const h = 0.02e-3
	at := func(s shape, x float64) (q squares) {
		var coil field.Coaxial
		for _, l := range f.Coils[s.coil] {
			coil.Loops = append(coil.Loops, field.CoaxialLoop{Radius: l[0], Z: l[1], Current: l[2]})
		}
		var mean r3.Vec
		var z2, r2 float64
		for i, u := range square {
			for k := range around / 2 { // mirrored
				sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / around)
				for l, v := range level {
					r := s.diameter / 2 * math.Sqrt(u)
					b := coil.B(r3.Vec{X: x + r*cos, Y: r * sin, Z: s.height + v*s.depth})
					w := ringShare[i] * levelShare[l] * 2 / around
					mean.X, mean.Z = mean.X+w*b.X, mean.Z+w*b.Z
					z2, r2 = z2+w*b.Z*b.Z, r2+w*(b.X*b.X+b.Y*b.Y)
				}
			}
		}
		q.mean2 = [2]float64{mean.Z * mean.Z, mean.X * mean.X}
		q.var2 = [2]float64{z2 - q.mean2[0], r2 - q.mean2[1]}
		return q
	}
	var total, locally, worst, worstLocally, place float64
	for _, c := range f.Cases {
		s := shape{c.Diameter, c.Depth, c.Height, c.Coil}
		if known[s] == nil {
			for _, x := range f.Way {
				known[s] = append(known[s], [2]squares{at(s, x*f.Pitch-h), at(s, x*f.Pitch+h)})
			}
		}
		body := NewSpheroid(Fluid{Susceptibility: c.Chi, Saturation: 1e9}, c.Depth/c.Diameter)
		along, across := body.Variances()
		force := func(q [2]squares, along, across float64) float64 {
			pi := func(q squares) float64 {
				return body.pi(math.Sqrt(q.mean2[0]+along*q.var2[0]), math.Sqrt(q.mean2[1]+across*q.var2[1]))
			}
			return math.Pi / 4 * c.Diameter * c.Diameter * c.Depth * (pi(q[1]) - pi(q[0])) / (2 * h)
		}
		peak, off, local, here := 0.0, 0.0, 0.0, 0.0
		for k, want := range c.Forces {
			peak = max(peak, math.Abs(want))
			off += math.Pow(force(known[s][k], along, across)-want, 2) / float64(len(c.Forces))
			here = max(here, math.Abs(force(known[s][k], along, across)-want))
			local += math.Pow(force(known[s][k], 1, 1)-want, 2) / float64(len(c.Forces))
		}
		off, local = off/(peak*peak), local/(peak*peak)
		total, locally, worst = total+off/float64(len(f.Cases)), locally+local/float64(len(f.Cases)), max(worst, math.Sqrt(off))
		worstLocally = max(worstLocally, math.Sqrt(local))
		place = max(place, here/peak)
	}
	t.Logf("%d discs: by mean and variances off by %.3f of the greatest force, RMS, %.3f on the worst, %.3f at its worst place; by the local pressure %.3f and %.3f", len(f.Cases), math.Sqrt(total), worst, place, math.Sqrt(locally), worstLocally)
	if len(f.Cases) != 80 || math.Sqrt(total) > 0.062 || math.Abs(worst-WorstDisc) > 0.005 || math.Abs(place-0.37) > 0.005 || math.Sqrt(locally) < 2*math.Sqrt(total) {
		t.Errorf("off by %.3f, %.3f on the worst, %.3f at a place, of %d, locally %.3f", math.Sqrt(total), worst, place, len(f.Cases), math.Sqrt(locally))
	}
	// A field all over the disc is weakened as before, a thin fluid does not weaken any.
	if a, c := NewSpheroid(Fluid{Susceptibility: 1e-9, Saturation: 1e9}, 0.25).Variances(); math.Abs(a-1)+math.Abs(c-1) > 1e-8 {
		t.Errorf("a fluid as good as none: weights %g and %g", a, c)
	}
}
