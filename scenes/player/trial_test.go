package player

import (
	"reflect"
	"testing"
)

// A trial finds what the step then does, and leaves the player as it was.
func TestTrialIsStep(t *testing.T) {
	d := small(t)
	tried, plain := newPlayer(t, d), newPlayer(t, d)
	trial := NewTrial(tried)
	s := pictures(0.4, marching...)
	for i, f := range s.Frames {
		other := s.Frames[(i+2)%len(s.Frames)]
		if _, err := trial.Show(other.Levels, 3*other.Duration); err != nil {
			t.Fatal(err)
		}
		e, err := trial.Show(f.Levels, f.Duration)
		if err != nil {
			t.Fatal(err)
		}
		holds, failing := append([]float64(nil), tried.Holds()...), append([]int(nil), e.Failing...)
		a, err := tried.Step(t.Context(), f)
		if err != nil {
			t.Fatal(err)
		}
		b, err := plain.Step(t.Context(), f)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(a, b) || !reflect.DeepEqual(tried.Coils(), plain.Coils()) {
			t.Fatalf("frame %d: trials changed the player:\n%+v\n%+v", i, a, b)
		}
		if e.SupplyPower != a.SupplyPower || e.Lit != a.Lit || e.LeastHold != a.LeastHold || !reflect.DeepEqual(holds, tried.Holds()) || len(failing) != len(a.Failing) {
			t.Errorf("frame %d: the trial found %+v, the step %+v", i, e, a)
		}
		sum := 0.0
		for _, w := range trial.Power() {
			sum += w
		}
		if d := sum - e.SupplyPower; d > 1e-9 || d < -1e-9 {
			t.Errorf("frame %d: pixels draw %g W together, the frame %g W", i, sum, e.SupplyPower)
		}
	}
	if n := testing.AllocsPerRun(20, func() {
		if _, err := trial.Show(s.Frames[0].Levels, 0.4); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%g allocations per trial", n)
	}
}
