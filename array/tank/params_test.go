package tank

import (
	"errors"
	"math"
	"testing"

	"lodegrid/field/param"
)

func TestValidate(t *testing.T) {
	if err := base().Validate(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name   string
		change func(*Params)
	}{
		{"Cols", func(p *Params) { p.Cols = 3 }},
		{"Rows", func(p *Params) { p.Rows = 100000 }},
		{"Cols", func(p *Params) { p.Cols, p.Rows = 8000, 8000 }},
	} {
		p := base()
		c.change(&p)
		var pe *param.Error
		if err := p.Validate(); !errors.As(err, &pe) || pe.Key != c.name || pe.Accept == "" {
			t.Errorf("%s: %v", c.name, err)
		} else {
			t.Log(err)
		}
		if _, err := New(p); err == nil {
			t.Errorf("%s: New made a tank", c.name)
		}
	}
}

func TestOverGrid(t *testing.T) {
	p := Params{Gap: 1}.OverGrid(16, 10, 2, 8, 0.012)
	if p.Cols != 160 || p.Rows != 112 || math.Abs(p.Width-0.24) > 1e-15 || math.Abs(p.Height-0.168) > 1e-15 || p.Gap != 1 {
		t.Errorf("%+v", p)
	}
}

// Any count of cells can be computed with, prime ones too, and few.
func TestAnySize(t *testing.T) {
	for _, n := range [][2]int{{4, 4}, {5, 7}, {17, 16}, {31, 19}, {33, 45}} {
		p := base()
		p.Cols, p.Rows = n[0], n[1]
		p.Height = p.Width * float64(n[1]) / float64(n[0])
		tk := newTank(t, p)
		tk.FillBelow(0.4 * p.Height)
		before := tk.Volume()
		pi := gauss(tk, 0, 0, 0.04, 300)
		st := step(t, tk, 0.2, pi)
		if st.MaxSpeed == 0 || math.Abs(tk.Volume()/before-1) > 1e-12 {
			t.Errorf("%v: %+v, volume %g then %g", n, st, before, tk.Volume())
		}
		for k, c := range tk.Fraction() {
			if !(c >= 0 && c <= 1) {
				t.Fatalf("%v: share %g in cell %d", n, c, k)
			}
		}
	}
}
