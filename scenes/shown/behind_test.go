package shown

import (
	"errors"
	"reflect"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes/player"
)

// What follows a player beside it sees what is moved along with it, to the last bit; with kicks,
// whose frames are two stretches, too. An error of the fluid is told at the end.
func TestBehind(t *testing.T) {
	small := []design.Change{{Key: "grid.cols", Value: "4"}, {Key: "grid.rows", Value: "4"}}
	for _, c := range []struct {
		name    string
		changes []design.Change
	}{displays[0], displays[3]} {
		g := gridOf(t, trial.Lit(), append(small, c.changes...)...)
		s := sceneOf(t, "tide", g.Design, 6, 0.5)
		record := func(behind bool) *Record {
			p, f := quick(t, g)
			r, err := Begin(Drops, f, g, s, s, 0.9)
			if err != nil {
				t.Fatal(err)
			}
			frame := func(p *player.Player, duration float64) error { return p.Move(0, duration, r.Move) }
			end := func() error { return nil }
			if behind {
				b := r.Behind()
				frame, end = b.Frame, b.End
			}
			_, err = p.Try(t.Context(), s, func(run []player.Entry) error {
				return frame(p, float64(len(run))*run[0].Duration)
			})
			if err := errors.Join(err, end()); err != nil {
				t.Fatal(err)
			}
			return r.Record()
		}
		along, behind := record(false), record(true)
		if len(along.Sights) != len(s.Frames) || !reflect.DeepEqual(along, behind) {
			t.Errorf("%s: along with the player %+v, behind it %+v", c.name, along.Sights, behind.Sights)
		}
	}
	b := (&Recorder{fluid: stuck{}}).Behind()
	p, err := player.New(gridOf(t, trial.Lit(), small...))
	if err == nil {
		_, err = p.Show(t.Context(), sceneOf(t, "tide", p.Grid().Design, 1, 0.5).Frames[0])
	}
	if err != nil {
		t.Fatal(err)
	}
	for range 3 * ahead { // goes on taking frames
		if err := b.Frame(p, 1); err != nil {
			t.Fatal(err)
		}
	}
	if err := b.End(); !errors.Is(err, errStuck) {
		t.Errorf("%v, want %v", err, errStuck)
	}
}

var errStuck = errors.New("stuck")

// stuck is fluid that cannot be moved.
type stuck struct{ Fluid }

func (stuck) Step(float64, *grid.Plane) error { return errStuck }
