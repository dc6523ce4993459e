package scope

import (
	"context"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes/generate"
)

// What mends all problems, applied, leaves none when it is judged again.
func TestAdviceMends(t *testing.T) {
	c := newScope(t, 4, 3, design.Change{Key: "supply.voltage", Value: "40 V"}, design.Change{Key: "drive.max_duty", Value: "50 %"}, design.Change{Key: "drive.place", Value: "any"},
		design.Change{Key: "limits.shown", Value: "0 %"}, design.Change{Key: "limits.stray", Value: "100 %"},
		design.Change{Key: "limits.hold", Value: "0.01"}, design.Change{Key: "limits.false_on", Value: "100"})
	verdictOf(t, c)
	list, cure := c.Problems()
	i := slices.IndexFunc(list, func(p Problem) bool { return p.Key == "limits.board" || p.Key == "limits.touch" })
	if i < 0 || len(list[i].Advice) == 0 || len(list[i].Advice[0].Set) == 0 {
		t.Fatalf("a scene that is too hot has the problems %+v", list)
	}
	set := list[i].Advice[0].Set
	if len(cure.Set) > 0 {
		set = cure.Set
	}
	if err := c.Set(set...); err != nil {
		t.Fatal(err)
	}
	settle(t, c)
	words, _ := verdictOf(t, c)
	for _, w := range words {
		if strings.Contains(w, list[i].Key) {
			t.Errorf("with %v there is still: %s", set, w)
		}
	}
	if !c.Tuned() {
		t.Error("a design with advice taken counts as unchanged")
	}
}

// A judgement tells how far it has come and can be ended and begun again.
func TestJudgingStops(t *testing.T) {
	c := newScope(t, 6, 4)
	if s := c.Judging(); !strings.Contains(s, "being judged") {
		t.Errorf("while it is judged it says %q", s)
	}
	c.StopJudging()
	if words, wrong := verdictOf(t, c); !wrong || !strings.Contains(words[0], "stopped") || c.Judging() != "" {
		t.Errorf("a judgement that was ended says %q", words)
	}
	c.Judge()
	if words, _ := verdictOf(t, c); strings.Contains(words[0], "stopped") {
		t.Errorf("begun again it says %q", words)
	}
}

// A key that cannot be is refused and changes nothing; another grid has its own scene.
func TestSetKeys(t *testing.T) {
	c := newScope(t, 4, 3)
	if err := c.Set(design.Change{Key: "supply.voltage", Value: "nine"}); err == nil || c.Tuned() || c.Stale() {
		t.Errorf("a voltage of nine gives %v", err)
	}
	c.SetScenes(func(ctx context.Context, d design.Design) (Pictures, error) {
		p, err := generate.Defaults("walk", d.Grid.Rows, d.Grid.Cols)
		if err != nil {
			return Pictures{}, err
		}
		s, err := generate.Scene(ctx, "walk", p)
		return Pictures{Scene: s}, err
	})
	if err := c.Set(design.Change{Key: "grid.cols", Value: "5"}, design.Change{Key: "supply.voltage", Value: "9 V"}); err != nil {
		t.Fatal(err)
	}
	settle(t, c)
	tick(t, c)
	if c.Problem() != "" || c.Design().Grid.Cols != 5 || c.Scene().Cols != 5 || c.Design().Supply.Voltage != 9 || c.Controls()[0].Value != 9 {
		t.Errorf("five columns and 9 V give %d, a scene of %d, %g V, %q", c.Design().Grid.Cols, c.Scene().Cols, c.Design().Supply.Voltage, c.Problem())
	}
	c.SetScenes(func(context.Context, design.Design) (Pictures, error) { panic("broken scene") })
	if err := c.SetNow(design.Change{Key: "grid.cols", Value: "6"}); err == nil || c.Design().Grid.Cols != 5 || c.Stale() {
		t.Errorf("what panics gives %v and %d columns", err, c.Design().Grid.Cols)
	}
}
