package scope

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
)

// The clock put back shows fluid, heat and meters as they were, and what is played from
// there comes to the same again.
func TestSeekBringsBackFluidAndHeat(t *testing.T) {
	for m, name := range Models()[Cells:] {
		t.Run(name, func(t *testing.T) { seekBringsBack(t, Cells+Model(m)) })
	}
}

func seekBringsBack(t *testing.T, m Model) {
	c := newScope(t, 6, 4)
	c, err := New(t.Context(), c.Design(), c.Scene(), m)
	if err != nil {
		t.Fatal(err)
	}
	if (c.Follows() != "") != (m == Drops) {
		t.Fatalf("told is %q", c.Follows())
	}
	seen := func() *View {
		v := &View{}
		c.Copy(v)
		return v
	}
	ticks(t, c, 41)
	first := seen()
	ticks(t, c, 50)
	later := seen()
	alike := func(name string, want *View) {
		t.Helper()
		got := seen()
		worst, heat := 0.0, 0.0
		for i, f := range got.fluid {
			worst = max(worst, math.Abs(f-want.fluid[i]))
		}
		for i, k := range got.coils {
			heat = max(heat, math.Abs(k-want.coils[i]))
		}
		if worst > 1e-4 || heat > 1e-9 {
			t.Errorf("%s: the fluid is off by %g of a cell, the coils by %g K", name, worst, heat)
		}
		if math.Abs(got.Clock()-want.Clock()) > shortest || !slices.Equal(got.levels, want.levels) || math.Abs(got.totals.time-want.totals.time) > 1e-3 ||
			math.Abs(got.totals.energy/want.totals.energy-1) > 1e-9 || got.history.Len() != want.history.Len() {
			t.Errorf("%s: at %g s after %g s, want %g s after %g s", name, got.Clock(), got.totals.time, want.Clock(), want.totals.time)
		}
	}
	c.Seek(first.Clock())
	n := 0
	for ; c.Seeking(); n++ {
		if c.Clock() != first.Clock() {
			t.Fatalf("while it is sought the clock shows %g s", c.Clock())
		}
		tick(t, c)
	}
	if n > 17 { // a stretch has 15
		t.Errorf("going back took %d ticks: nothing was kept", n)
	}
	alike("put back", first)
	c.playing = false
	c.Seek(later.Clock())
	arrive(t, c)
	alike("put forward again", later)
	c.Seek(0.3)
	arrive(t, c)
	c.playing = true
	for c.Clock() < later.Clock()-shortest {
		tick(t, c)
	}
	alike("played again", later)
}

// A search for a time not yet played computes what lies between, and can be ended.
func TestSeekAhead(t *testing.T) {
	a, b := newScope(t, 6, 4), newScope(t, 6, 4)
	ticks(t, a, 60)
	b.Seek(1)
	tick(t, b)
	if !strings.Contains(b.Progress(), "to 1.0 s") {
		t.Errorf("while a time is sought it says %q", b.Progress())
	}
	arrive(t, b)
	for i, f := range a.fluid {
		if math.Abs(f-b.fluid[i]) > 1e-9 {
			t.Fatal("a second that was sought shows another fluid than one that was played")
		}
	}
	b.Seek(2)
	ticks(t, b, 3)
	b.Halt()
	if at := b.Clock(); b.Seeking() || at < 1 || at > 1.1 {
		t.Errorf("a search that was ended stands at %g s", at)
	}
}

// What another design came to is not shown for this one.
func TestPastIsOfTheDesign(t *testing.T) {
	c := newScope(t, 4, 3, design.Change{Key: "supply.voltage", Value: "10 V"})
	ticks(t, c, 60)
	for i := range c.Controls() {
		if c.Controls()[i].Key == "supply.voltage" {
			c.SetControl(i, 0.1)
		}
	}
	c.Toggle() // or the scene of 2 s begins anew before the other display is made
	settle(t, c)
	c.Seek(0.2)
	tick(t, c)
	if words, _, _ := c.Note(); c.Seeking() || math.Abs(c.Clock()-0.2) > 0.1 || !strings.Contains(words, "nothing before") {
		t.Errorf("a time before the change of design is sought, at %g s, and told %q", c.Clock(), words)
	}
}

// The past takes no more memory than it may, and thins out instead.
func TestPastIsBounded(t *testing.T) {
	c := newScope(t, 6, 4)
	c.remember()
	one := c.past.instants[0]
	size := one.moment.Bytes()
	p := newPast(60)
	for k := range 600 {
		i := *one
		i.clock = 0.1 * float64(k)
		if p.of(i.clock) != p.last {
			p.last = p.of(i.clock)
			p.keep(&i, 10*size)
		}
	}
	n := len(p.lengths(nil))
	if p.bytes > 10*size || p.bytes != n*size || n < 5 {
		t.Errorf("%d instants of %d bytes take %d", n, size, p.bytes)
	}
	for at := 0.0; at < 60; at += 0.7 {
		if i := p.before(at); i == nil || i.clock > at+shortest || at-i.clock > 2*p.stretch {
			t.Errorf("before %g s stands %v, stretches take %g s", at, i, p.stretch)
		}
	}
}
