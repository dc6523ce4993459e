package field_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// TestDumpForQuadrature writes fields at seeded points for
// .ci/checks/field_quadrature.py, which integrates the same sources with SciPy. It
// runs when LODEGRID_FIELD_DUMP names the file to write.
func TestDumpForQuadrature(t *testing.T) {
	path := os.Getenv("LODEGRID_FIELD_DUMP")
	if path == "" {
		t.Skip("LODEGRID_FIELD_DUMP is not set")
	}
	type item struct {
		Kind     string
		Size     []float64 // loop: radius; segment: from, to; cylinder: radius, length; cuboid: edges
		P, B     [3]float64
		Gradient [][3]float64 `json:",omitempty"`
	}
	list := func(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
	rng := rand.New(rand.NewPCG(11, 11))
	around := func(size float64) r3.Vec {
		return r3.Scale(size*math.Exp(1.5*rng.NormFloat64()), direction(rng))
	}
	var items []item
	for range 40 {
		l := field.Loop{Radius: (0.5 + 10*rng.Float64()) * mm, Current: 1}
		p := around(l.Radius)
		g := l.Gradient(p)
		items = append(items, item{"loop", []float64{l.Radius}, list(p), list(l.B(p)), g[:]})

		from, to := around(5*mm), around(5*mm)
		p = around(5 * mm)
		s := field.Segment{From: from, To: to, Current: 1}
		items = append(items, item{"segment", []float64{from.X, from.Y, from.Z, to.X, to.Y, to.Z}, list(p), list(s.B(p)), nil})
	}
	for range 12 {
		c := field.CylinderMagnet{Radius: (1 + 5*rng.Float64()) * mm, Length: (0.5 + 6*rng.Float64()) * mm, Remanence: 1}
		p := around(8 * mm)
		if !c.Contains(p) {
			items = append(items, item{"cylinder", []float64{c.Radius, c.Length}, list(p), list(c.B(p)), nil})
		}
		b := field.CuboidMagnet{Size: r3.Scale(mm, r3.Vec{X: 1 + 6*rng.Float64(), Y: 1 + 6*rng.Float64(), Z: 0.5 + 4*rng.Float64()}), Remanence: 1}
		p = around(8 * mm)
		if !b.Contains(p) {
			items = append(items, item{"cuboid", []float64{b.Size.X, b.Size.Y, b.Size.Z}, list(p), list(b.B(p)), nil})
		}
	}
	data, err := json.MarshalIndent(items, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
}
