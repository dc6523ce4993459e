package player

import (
	"math"
	"slices"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
)

// A lone pixel of a scanned display is on for one row's turn in as many as there are
// rows: the fluid feels the pressure of its full current for that share of the time.
func TestScannedRowsActByMeanPressure(t *testing.T) {
	g, err := grid.New(t.Context(), changed(t, "drive.mode=scan", "fluid.relaxation=0 s"), 0)
	if err != nil {
		t.Fatal(err)
	}
	p, err := New(g)
	if err != nil {
		t.Fatal(err)
	}
	rows := float64(g.Design.Grid.Rows)
	// In direct mode the same current flows all the time.
	d := g.Design
	d.Drive.Mode = design.DriveDirect
	direct := g.With(d)
	currents := make([]float64, g.Design.Pixels())
	currents[p.Middle()] = 0.1
	full := grid.NewPlane(g.Raster)
	direct.FieldInto(full, grid.Steady(currents))
	currents[p.Middle()] /= rows // the mean that the drive tells
	g.FieldInto(p.plane, grid.Steady(currents))
	most := slices.Max(full.Abs)
	for k := range full.Pi {
		if math.Abs(p.plane.Pi[k]-full.Pi[k]/rows) > 1e-9*full.Pi[k]+1e-12 {
			t.Fatalf("sample %d: pressure %g Pa, a %gth of %g is wanted", k, p.plane.Pi[k], rows, full.Pi[k])
		}
		if math.Abs(p.plane.Bz[k]-full.Bz[k]/rows) > 1e-9*most || math.Abs(p.plane.Abs[k]-full.Abs[k]/math.Sqrt(rows)) > 1e-9*most {
			t.Fatalf("sample %d: mean field %g T and RMS %g T do not fit a turn of %g T", k, p.plane.Bz[k], p.plane.Abs[k], full.Abs[k])
		}
	}
}

// Between discs the board's bare back can be touched, and it is hotter than they are.
func TestTouchFindsTheBareBoard(t *testing.T) {
	g, err := grid.New(t.Context(), changed(t, "iron.radius=4 mm"), 0)
	if err != nil {
		t.Fatal(err)
	}
	p, err := New(g)
	if err != nil {
		t.Fatal(err)
	}
	layers := make([][]float64, p.net.States())
	for i := range layers {
		kelvin := 0.0 // of the stages: no coil has warmed its board unevenly
		if i < 2 {
			kelvin = []float64{350, 310}[i]
		}
		layers[i] = make([]float64, g.Design.Pixels())
		for k := range layers[i] {
			layers[i][k] = kelvin
		}
	}
	p.net.StartFrom(layers)
	if got := p.Touch(); math.Abs(got-350) > 1e-6 {
		t.Errorf("hottest surface within reach %g K; the bare board's back is at 350 K", got)
	}
}

// Push moves fluid just as Show does, frame by frame and kick by kick, whether the kicks
// end within a frame or not, and goes on alike afterwards.
func TestPushIsShow(t *testing.T) {
	for _, mode := range [][]string{nil, {"drive.mode=kick", "drive.hold_duty=20 %", "drive.kick_time=300 ms"}} {
		d := small(t, mode...)
		show, push := newPlayer(t, d), newPlayer(t, d)
		var kicks, whole int
		for n := range 24 {
			frame := pictures([]float64{0.1, 0.2, 0.5}[n%3], marching[n/2%4]).Frames[0]
			e, err := show.Show(t.Context(), frame)
			if err != nil {
				t.Fatal(err)
			}
			p, err := push.Push(t.Context(), frame)
			if err != nil {
				t.Fatal(err)
			}
			if n%7 == 6 { // a frame of the other kind in between
				if p, err = push.Show(t.Context(), frame); err != nil {
					t.Fatal(err)
				}
				if e, err = show.Show(t.Context(), frame); err != nil {
					t.Fatal(err)
				}
				if p.LeastHold != e.LeastHold || p.Lit != e.Lit {
					t.Errorf("%v: frame %d: hold %g of %d lit pixels, Show gives %g of %d", mode, n+1, p.LeastHold, p.Lit, e.LeastHold, e.Lit)
				}
			}
			if p.Hottest != e.Hottest || p.SupplyPower != e.SupplyPower {
				t.Errorf("%v: frame %d: %g K and %g W, Show gives %g K and %g W", mode, n+1, p.Hottest, p.SupplyPower, e.Hottest, e.SupplyPower)
			}
			stretches := func(p *Player) (list []float64) {
				err := p.Move(0, frame.Duration, func(dt float64, plane *grid.Plane) error {
					list = append(append(list, dt), plane.Pi...)
					return nil
				})
				if err != nil {
					t.Fatal(err)
				}
				return list
			}
			got, want := stretches(push), stretches(show)
			if !slices.Equal(got, want) {
				t.Errorf("%v: frame %d: the pressures differ", mode, n+1)
			}
			if s := show.kick.seconds; s > 0 {
				kicks++
				if s >= frame.Duration {
					whole++
				}
			}
		}
		if mode != nil && (whole == 0 || whole == kicks) {
			t.Errorf("%d of %d kicks last their frame: want some, not all", whole, kicks)
		}
	}
}
