package pixel

import (
	"context"
	"fmt"
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/field/coil"
	"lodegrid/field/iron"
)

func metalDesign(t *testing.T, changes ...string) (design.Design, Pixel) {
	t.Helper()
	d := trial.Design(t, append([]string{"board.laminate=aluminium", "board.layers=1", "board.layers_on_offer=[1]", "coil.layers=1"}, changes...)...)
	p, err := New(context.Background(), d, d.Fluid.Height)
	if err != nil {
		t.Fatal(err)
	}
	return d, p
}

// A coil of any shape over a metal core against its image in a mirror that lies deeper than
// the metal's face by half a skin depth, the complex image of a half-space in its real part
// (from memory; the next term is of the second order in the skin depth over the coil): what the
// elements, and for other shapes the round coil that stands for them, leave of the inductance.
func TestInductanceOverMetal(t *testing.T) {
	for _, shape := range []string{"round", "square", "hexagon", "rounded-square"} {
		d, p := metalDesign(t, "coil.shape="+shape)
		e, air := p.Eddy, p.Coil.Inductance()
		front, back, conductivity := d.MetalCore()
		if e == nil || e.Of != "board's metal" || (e.Alike == 0) != (shape == "round") || e.Alike > 0.1 {
			t.Fatalf("%s: %+v", shape, e)
		}
		if front > -0.1e-3 || front < -0.25e-3 || back != -d.Board.Thickness || conductivity != 20e6 {
			t.Errorf("%s: metal from %g to %g m, %g S/m", shape, front, back, conductivity)
		}
		if e.Inductance[0] != air || e.Resistance[0] != 0 || e.Gain[0] != 1 {
			t.Errorf("%s: direct current sees the metal: %g H of %g, %g Ω, gain %v", shape, e.Inductance[0], air, e.Resistance[0], e.Gain[0])
		}
		for k := 1; k < len(e.Frequencies); k++ {
			if e.Inductance[k] >= e.Inductance[k-1] || e.Resistance[k] <= e.Resistance[k-1] || real(e.Gain[k]) >= real(e.Gain[k-1]) {
				t.Errorf("%s at %g Hz: %g H after %g, %g Ω after %g", shape, e.Frequencies[k], e.Inductance[k], e.Inductance[k-1], e.Resistance[k], e.Resistance[k-1])
			}
		}
		last := len(e.Frequencies) - 1
		skin := iron.SkinDepth(e.Frequencies[last], 1, conductivity)
		m := p.Coil.MutualWithImage(front - skin/2)
		off := e.Inductance[last]/(air-m) - 1
		t.Logf("%s: %.4g nH of %.4g at %g Hz, by the image %.4g (%+.1f %%); stand-in %.1f %%", shape, e.Inductance[last]*1e9, air*1e9, e.Frequencies[last], (air-m)*1e9, 100*off, 100*e.Alike)
		if math.Abs(off) > 0.05 {
			t.Errorf("%s: %g H at %g Hz, by the image %g", shape, e.Inductance[last], e.Frequencies[last], air-m)
		}
		// A mirror deeper by x has its image deeper by 2x: the image's imaginary part is the resistance
		// ω (δ/2) |dM/dx|. A stand-in may be off by as much as it says, a round coil by the image's
		// next term.
		const step = 2e-6
		near := p.Coil.MutualWithImage(front - skin/2 + step)
		far := p.Coil.MutualWithImage(front - skin/2 - step)
		image := math.Pi * e.Frequencies[last] * skin * (near - far) / (2 * step)
		if off := e.Resistance[last]/image - 1; math.Abs(off) > max(0.02, e.Alike) {
			t.Errorf("%s: %g Ω at %g Hz, by the image %g", shape, e.Resistance[last], e.Frequencies[last], image)
		}
		if e.Ladder.Error > 0.03 {
			t.Errorf("%s: the ladder is %g off", shape, e.Ladder.Error)
		}
	}
}

// How far a stand-in is off, by a round coil that is drawn in its place: what a perfect conductor
// leaves of a square coil's inductance, and what it leaves of as much of the round one's.
func TestStandInTellsHowFarItIsOff(t *testing.T) {
	d, square := metalDesign(t, "coil.shape=square", "coil.outer=8 mm", "coil.turns=12")
	_, round := metalDesign(t, "coil.shape=round", fmt.Sprintf("coil.outer=%.9f mm", 16/math.Sqrt(math.Pi)), "coil.turns=12")
	front, _, _ := d.MetalCore()
	var left [2]float64
	for k, p := range []Pixel{square, round} {
		m := p.Coil.MutualWithImage(front)
		left[k] = 1 - m/p.Coil.Inductance()
	}
	if want := math.Abs(left[1]/left[0] - 1); math.Abs(square.Eddy.Alike/want-1) > 1e-6 || want < 0.02 {
		t.Errorf("off by %g, by a round coil %g", square.Eddy.Alike, want)
	}
	l := square.Eddy.InductanceAt(d.Drive.Frequency)
	if told, own := square.InductanceError(l), square.Coil.Inductance(); told < square.Eddy.Alike+(coil.ClosedTurns*own+steelAdds*(own-l))/l {
		t.Errorf("the inductance is told to be off by %g, its stand-in alone is by %g", told, square.Eddy.Alike)
	}
}

// Of coils in series each has its part of the switches: to the ripple's heat one of two behind
// 20 Ω is one behind 10 Ω. Its inductance is less by what the one beside it takes off: at most
// what that does in air, at least what is left of it over a mirror half a skin depth under the
// metal's face. The metal's heat is taken as one coil's. By the part of the neighbour's image it
// were less; where the skin is thin it goes with the square of the field along the face, whose
// integral is by how much the images' flux changes with the face's place, and less is taken off.
func TestPartOfTheSwitchesOverMetal(t *testing.T) {
	var got [2][2]float64
	var least, most, byImage, thin float64
	for k, changes := range [][]string{{"drive.on_resistance=20 Ω", "drive.in_series=2"}, {"drive.on_resistance=10 Ω"}} {
		d, p := metalDesign(t, append(changes, "drive.max_duty=40 %", "drive.frequency=50 kHz")...)
		got[k][0], got[k][1] = p.UnderPWM(d)
		front, _, conductivity := d.MetalCore()
		direct, image := p.Coil.Beside(d.Grid.Pitch, front-iron.SkinDepth(d.Drive.Frequency, 1, conductivity)/2)
		most, least = -direct, image-direct
		step := 0.02e-3
		var part [2][2]float64
		for n, z := range []float64{front, front - step} {
			_, part[n][0] = p.Coil.Beside(d.Grid.Pitch, z)
			part[n][1] = p.Coil.MutualWithImage(z)
		}
		byImage = 1 + part[0][0]/part[0][1]
		thin = 1 + (part[1][0]-part[0][0])/(part[1][1]-part[0][1])
	}
	off := got[1][0] - got[0][0]
	t.Logf("heat in the metal as of one coil; by the images × %.5g, of a thin skin × %.5g", byImage, thin)
	if !(0.97 < byImage && byImage < thin && thin < 1) {
		t.Errorf("heat in the metal by the images × %g, of a thin skin × %g: as of one coil is told to be at most 3 %% too much", byImage, thin)
	}
	if got[0][1] != got[1][1] || !(least > 0 && least < off && off < most) {
		t.Errorf("two in series behind 20 Ω: %g H, %g Ω; one behind 10 Ω: %g H, %g Ω; want %g to %g H less", got[0][0], got[0][1], got[1][0], got[1][1], least, most)
	}
}

// Under PWM the ripple of a coil over metal is greater than in air, heats the metal, and its
// field hardly comes out; steel behind it all is still counted.
func TestRippleOverMetal(t *testing.T) {
	d, p := metalDesign(t, "drive.max_duty=40 %", "drive.frequency=300 kHz")
	l, r := p.UnderPWM(d)
	if air := p.Coil.Inductance(); l > 0.9*air || l < p.Eddy.Inductance[len(p.Eddy.Inductance)-1] || r <= 0 {
		t.Errorf("%g H of %g in air, %g Ω", l, air, r)
	}
	if s := p.Shield(d); s > 0.7 || s < 0.05 {
		t.Errorf("%g of the ripple's field is left", s)
	}
	plain := d
	plain.Board.Laminate = "fr4"
	q, err := New(t.Context(), plain, d.Fluid.Height)
	if err != nil {
		t.Fatal(err)
	}
	ripple := func(p Pixel) float64 { return math.Pow(p.Full.On.Ripple(0), 2) }
	if ripple(p) <= 1.2*ripple(q) {
		t.Errorf("ripple %g A² over metal, %g without", ripple(p), ripple(q))
	}
	_, both := metalDesign(t, "iron.model=fem")
	if both.Eddy.Of != "steel and the board's metal" || both.Eddy.Inductance[0] < 1.1*p.Eddy.Inductance[0] {
		t.Errorf("with steel: %s, %g H at DC, %g without", both.Eddy.Of, both.Eddy.Inductance[0], p.Eddy.Inductance[0])
	}
}

// A board's copper that comes out thicker, its gaps narrower than any rule lets draw them, is
// computed like any other: what stands for another shape is drawn by the rules, too.
func TestMetalUnderCopperAsMade(t *testing.T) {
	for _, shape := range []string{"square", "hexagon"} {
		_, drawn := metalDesign(t, "coil.shape="+shape)
		_, thick := metalDesign(t, "coil.shape="+shape, "board.outer_made=1.2", "coil.etch=-0.02 mm")
		a, b := drawn.Eddy.Inductance[4]/drawn.Coil.Inductance(), thick.Eddy.Inductance[4]/thick.Coil.Inductance()
		if a > 0.9 || math.Abs(b/a-1) > 0.05 {
			t.Errorf("%s: the metal leaves %g of the inductance as drawn, %g as made", shape, a, b)
		}
	}
}
