package iron

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"lodegrid/field"
)

// block is the reference's coil: uniform current density in r 1.5…7 mm, as a
// Gauss product of loops.
func block(r0, r1, z0, z1, ampereTurns float64) field.Source {
	const nr, nz = 24, 8
	xr, wr := make([]float64, nr), make([]float64, nr)
	xz, wz := make([]float64, nz), make([]float64, nz)
	quad.Legendre{}.FixedLocations(xr, wr, r0, r1)
	quad.Legendre{}.FixedLocations(xz, wz, z0, z1)
	var c field.Coaxial
	for i := range xr {
		for j := range xz {
			c.Loops = append(c.Loops, field.CoaxialLoop{Radius: xr[i], Z: xz[j], Current: ampereTurns * wr[i] * wz[j] / ((r1 - r0) * (z1 - z0))})
		}
	}
	return c
}

type reference struct {
	Cases []struct {
		Coil struct {
			Thickness float64 `json:"thickness_mm"`
		}
		NI    float64 `json:"NI_A"`
		Steel *struct {
			Radius    float64 `json:"radius_mm"`
			Thickness float64 `json:"thickness_mm"`
			Gap       float64 `json:"gap_mm"`
			Core      float64 `json:"core_radius_mm"`
			Material  string
			MuR       float64 `json:"mu_r"`
		}
		Heights []float64   `json:"heights_mm"`
		R       []float64   `json:"r_mm"`
		Br      [][]float64 `json:"Br_T"`
		Bz      [][]float64 `json:"Bz_T"`
		ID      int
	}
}

func TestExplore(t *testing.T) {
	data, err := os.ReadFile("/work/shared/reference/iron_fem.json")
	if err != nil {
		t.Skip(err)
	}
	var ref reference
	if err := json.Unmarshal(data, &ref); err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, c := range ref.Cases {
		if c.Steel == nil || c.NI != 100 || len(c.Bz) == 0 {
			continue
		}
		n++
		if n%7 != 0 {
			continue
		}
		tc := c.Coil.Thickness * 1e-3
		src := block(1.5e-3, 7e-3, 0, tc, c.NI)
		var curve Curve = Linear{c.Steel.MuR}
		if c.Steel.Material != "linear" {
			curve = Frohlich{2000, 2.1}
		}
		top := -c.Steel.Gap * 1e-3
		p := Problem{Applied: src, Scale: 7e-3, Steel: []Region{{0, c.Steel.Radius * 1e-3, top - c.Steel.Thickness*1e-3, top, curve}}}
		if c.Steel.Core > 0 {
			p.Steel = append(p.Steel, Region{0, c.Steel.Core * 1e-3, top, tc, curve})
		}
		s, err := Solve(p)
		if err != nil {
			t.Fatal(c.ID, err)
		}
		var axis, line float64
		for i, h := range c.Heights {
			peak := 0.0
			worst := 0.0
			for j, r := range c.R {
				br, bz := s.Field(r*1e-3, tc+h*1e-3)
				b0 := src.(field.Coaxial)
				ar, az := b0.Field(r*1e-3, tc+h*1e-3)
				br, bz = br+ar, bz+az
				peak = max(peak, math.Hypot(c.Br[i][j], c.Bz[i][j]))
				worst = max(worst, math.Hypot(br-c.Br[i][j], bz-c.Bz[i][j]))
				if r == 0 {
					axis = max(axis, math.Abs(bz/c.Bz[i][j]-1))
				}
			}
			line = max(line, worst/peak)
		}
		t.Logf("case %d %+v: axis %.4f %% line %.4f %% nodes %d steps %d peak %.2f T force %.3g", c.ID, *c.Steel, axis*100, line*100, s.Nodes, s.Steps, s.Peak, s.Force)
	}
}
