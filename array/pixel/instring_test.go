package pixel_test

import (
	"context"
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/pixel"
)

// Two coils in series on a mirror are half of the flux through both: each with itself, its
// image, the other and the other's image. The drive's time constant is that of the string.
func TestStringOnAMirror(t *testing.T) {
	d := trial.Design(t, `iron.model="image"`, `coil.shape="square"`)
	p, err := pixel.Steady(context.Background(), d, d.Fluid.Height)
	if err != nil {
		t.Fatal(err)
	}
	on, _, err := p.Inductance(context.Background(), d)
	if err != nil {
		t.Fatal(err)
	}
	air := p.Coil.Inductance()
	if inString(t, p, d, on) != on {
		t.Error("a coil by itself sees another")
	}
	alone := tau(t, p, d, on)
	d.Drive.InSeries = 2
	direct, image := p.Coil.Beside(d.Grid.Pitch, d.IronFront())
	whole := p.Coil.MutualWithImage(d.IronFront())
	flux := 0.0 // of both coils at 1 A
	for range 2 {
		flux += air + d.Iron.Factor*whole + direct + d.Iron.Factor*image
	}
	if got := inString(t, p, d, on); math.Abs(got-flux/2) > 1e-9*got || got >= on {
		t.Errorf("in a string %g H, want %g H; alone %g H", got, flux/2, on)
	}
	if got := inString(t, p, d, air); math.Abs(got-air-direct) > 1e-9*got {
		t.Errorf("in a string in air %g H, want %g H", got, air+direct)
	}
	// The switches' resistance is shared, too.
	r := p.Coil.Resistance(293.15)
	want := alone * inString(t, p, d, on) / on * (r + d.Drive.OnResistance) / (r + d.Drive.OnResistance/2)
	if got := tau(t, p, d, on); math.Abs(got-want) > 1e-9*got {
		t.Errorf("time constant in a string %g s, want %g s", got, want)
	}
	d.Drive.InSeries = 4 // three places, the farther ones less
	if more := 1 - inString(t, p, d, air)/air; more < 2*-direct/air*0.75 || more > 2*-direct/air {
		t.Errorf("four coils take %g off, a neighbour %g", more, -direct/air)
	}
}

func inString(t *testing.T, p pixel.Pixel, d design.Design, own float64) float64 {
	t.Helper()
	l := p.InString(d, own)
	return l
}

func tau(t *testing.T, p pixel.Pixel, d design.Design, inductance float64) float64 {
	t.Helper()
	return p.TimeConstant(d, 293.15, inductance).Value
}
