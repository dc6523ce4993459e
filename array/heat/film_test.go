package heat

import (
	"math"
	"testing"
)

// Radiation of the project's reference table, section 7 (computed there with
// mpmath): ε 0.9, 333.15 K to 298.15 K.
func TestRadiation(t *testing.T) {
	f := Film{Emissivity: 0.9}
	near(t, "radiation", f.Radiation(333.15, 298.15), 225.388895657, 1e-11)
	near(t, "h_r", f.Radiation(333.15, 298.15)/35, 6.43968273, 1e-9)
}

var someFilms = map[string]Film{
	"vertical":          {Orientation: Vertical, Length: 0.2, Emissivity: 0.9},
	"up":                {Orientation: FaceUp, Length: 0.05, Emissivity: 0.9},
	"up, shiny":         {Orientation: FaceUp, Length: 0.05},
	"down, shiny":       {Orientation: FaceDown, Length: 0.2},
	"up, turbulent":     {Orientation: FaceUp, Length: 0.5, Emissivity: 0.1},
	"down, pane":        {Orientation: FaceDown, Length: 0.05, Emissivity: 0.8, Insulation: 0.01},
	"vertical, foam":    {Orientation: Vertical, Length: 0.2, Emissivity: 0.9, Insulation: 1},
	"fan":               {Orientation: Vertical, Length: 0.2, Emissivity: 0.2, AirSpeed: 2},
	"gale":              {Orientation: FaceUp, Length: 0.5, Emissivity: 0.2, AirSpeed: 20, FlowLength: 2},
	"fixed coefficient": {Coefficient: 12},
	"wall":              {Length: 0.12, Emissivity: 0.9, Behind: &Behind{Kind: Wall, Gap: 0.01, Width: 0.192, Height: 0.12}},
	"sealed": {Length: 0.12, Emissivity: 0.9, Behind: &Behind{
		Kind: Sealed, Gap: 0.01, Width: 0.192, Height: 0.12, CaseArea: 0.006, CaseLength: 0.12, CaseWall: 0.01, CaseEmissivity: 0.9}},
	"case with vents": {Length: 0.12, Emissivity: 0.9, Behind: &Behind{
		Kind: Case, Gap: 0.01, Width: 0.192, Height: 0.12, CaseArea: 0.03, CaseLength: 0.12, CaseEmissivity: 0.9, Vents: 2e-4}},
}

// The heat through the pane is the heat that leaves its surface.
func TestInsulation(t *testing.T) {
	for name, f := range someFilms {
		for _, node := range []float64{150, 280, 292.9, 293.15, 293.2, 300, 350, 600} {
			q, s := f.Flux(node, 293.15, 285)
			bare := f
			bare.Insulation = 0
			out, _ := bare.Flux(s, 293.15, 285)
			if f.Insulation > 0 {
				through := (node - s) / f.Insulation
				if math.Abs(out-through) > 1e-9*(math.Abs(out)+1) {
					t.Errorf("%s at %g K: %g W/m² through the pane, %g out of it", name, node, through, out)
				}
			}
			if math.Abs(out-q) > 1e-9*(math.Abs(out)+1) {
				t.Errorf("%s at %g K: flux %g, surface gives %g", name, node, q, out)
			}
		}
	}
}

// The tabulated flux against the correlations it stands for: within 6e-4 of the
// flux from 1 K rise on, within 3e-3 W/m² below (0.4 µW for a pixel of 1.44 cm²),
// where the correlations are good to 10 or 20 %; it never falls with temperature,
// and its slope is its own derivative.
func TestFluxTable(t *testing.T) {
	const ambient = 293.15
	for name, f := range someFilms {
		for _, walls := range []float64{ambient, 285, 310} {
			table := newFluxTable(&f, ambient, walls, -150, 400)
			worst, worstSmall := 0.0, 0.0
			before := math.Inf(-1)
			step := 0.237
			for x := -149.9; x < 400; x += step {
				if step = 0.237; math.Abs(x) < 1 {
					step = 0.0137
				}
				q, d := table.at(x)
				if q < before {
					t.Fatalf("%s: flux falls at rise %g", name, x)
				}
				before = q
				want, _ := f.Flux(ambient+x, ambient, walls)
				if e := math.Abs(q - want); math.Abs(x) < 1 {
					worstSmall = math.Max(worstSmall, e)
				} else {
					worst = math.Max(worst, e/math.Max(math.Abs(want), math.Abs(x)))
				}
				const h = 1e-5
				up, _ := table.at(x + h)
				down, _ := table.at(x - h)
				if num := (up - down) / (2 * h); math.Abs(num-d) > 1e-3*math.Abs(d)+1e-3 {
					t.Fatalf("%s: slope %g at rise %g, differences give %g", name, d, x, num)
				}
			}
			if worst > 6e-4 || worstSmall > 3e-3 {
				t.Errorf("%s, walls %g K: table off by %.2g relative, %.2g W/m² below 1 K", name, walls, worst, worstSmall)
			}
			t.Logf("%s, walls %g K: table within %.2g relative, %.2g W/m² below 1 K", name, walls, worst, worstSmall)
		}
	}
	// A constant coefficient is tabulated exactly, and goes on beyond the table.
	f := someFilms["fixed coefficient"]
	table := newFluxTable(&f, ambient, ambient, -150, 400)
	for _, x := range []float64{-1e4, -3, 0, 1e-9, 0.5, 77.7, 399, 1e6, 1e12} {
		q, d := table.at(x)
		if math.Abs(q-12*x) > 1e-13*12*(math.Abs(x)+0.01) {
			t.Errorf("linear flux at %g is %g, want %g", x, q, 12*x)
		}
		near(t, "linear slope", d, 12, 1e-11)
	}
	if q, d := table.at(math.NaN()); !math.IsNaN(q) {
		t.Errorf("flux at NaN is %g, %g", q, d)
	}
}

// The loop of add is at, pixel by pixel.
func TestFluxTableAdd(t *testing.T) {
	f := someFilms["up"]
	table := newFluxTable(&f, 293.15, 290, -150, 400)
	rise := []float64{-1e3, -100, -0.1, 0, 1e-3, 0.5, 1, 10, 399, 511, 512, 1e4}
	for _, a := range []float64{0.5, 2} {
		loss, slope := make([]float64, len(rise)), make([]float64, len(rise))
		loss[3], slope[3] = 1, 2
		table.add(loss, slope, rise, a)
		for i, r := range rise {
			q, d := table.at(r)
			q, d = q*a, d*a
			if i == 3 {
				q, d = q+1, d+2
			}
			if math.Abs(q-loss[i]) > 1e-12*math.Abs(q) || math.Abs(d-slope[i]) > 1e-12*math.Abs(d) {
				t.Errorf("rise %g: %g, %g; at gives %g, %g", r, loss[i], slope[i], q, d)
			}
		}
	}
}
