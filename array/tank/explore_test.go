package tank

import (
	"fmt"
	"math"
	"testing"
	"time"
)

func base() Params {
	return Params{Width: 0.192, Height: 0.12, Cols: 256, Rows: 160, Gap: 4e-3, Density: 1000, DensityDifference: 50,
		Viscosity: 0.01, SurfaceTension: 0.01, GravityY: -9.81}
}

func gauss(t *Tank, x, y, r, peak float64) []float64 {
	pi := make([]float64, t.nx*t.ny)
	for i := range t.ny {
		for j := range t.nx {
			px, py := t.middle(i, j)
			d := math.Hypot(px-x, py-y) / r
			pi[i*t.nx+j] = peak * math.Exp(-d*d)
		}
	}
	return pi
}

func minmax(c []float64) (float64, float64) {
	a, b := c[0], c[0]
	for _, v := range c {
		a, b = min(a, v), max(b, v)
	}
	return a, b
}

func TestExplore(t *testing.T) {
	p := base()
	tk, err := New(p)
	if err != nil {
		t.Fatal(err)
	}
	tk.FillBelow(0.03)
	st, _ := tk.Step(0.5, nil)
	fmt.Println("pool", st)

	p.GravityY = 0
	tk, _ = New(p)
	tk.FillDisc(0.0013, 0.002, 0.008)
	fmt.Println("vol", tk.Volume()/(math.Pi*0.008*0.008*4e-3)-1)
	for range 5 {
		st, _ = tk.Step(0.2, nil)
		lo, hi := minmax(tk.c)
		fmt.Println("static", st, lo, hi)
	}
	i, j := 80, 129
	fmt.Println("dp", tk.Pressure(i, j)-tk.Pressure(20, 20), 0.01/0.008)

	p = base()
	tk, _ = New(p)
	tk.FillDisc(0, 0.02, 0.008)
	t0 := time.Now()
	n := 0
	for k := range 10 {
		_, y0, _ := tk.Centroid()
		st, _ = tk.Step(0.1, nil)
		_, y1, _ := tk.Centroid()
		n += st.Substeps
		lo, hi := minmax(tk.c)
		fmt.Println("sink", k, st, (y1-y0)/0.1, lo, hi, tk.spans[80])
	}
	d := time.Since(t0)
	fmt.Println(float64(n)/d.Seconds(), "steps/s", 1/d.Seconds(), "x real")

	tk, _ = New(p)
	tk.FillDisc(0, 0.0, 0.005)
	t0 = time.Now()
	n = 0
	for k := range 40 {
		pi := gauss(tk, 0.012*float64(k/10+1), 0, 0.006, 80)
		st, err = tk.Step(0.1, pi)
		n += st.Substeps
		lo, hi := minmax(tk.c)
		x, y, _ := tk.Centroid()
		fmt.Println("capture", k, st, lo, hi, x, y, tk.FractionIn(0.012*float64(k/10+1), 0, 0.009), err)
	}
	d = time.Since(t0)
	fmt.Println(float64(n)/d.Seconds(), "steps/s", 4/d.Seconds(), "x real")
}
