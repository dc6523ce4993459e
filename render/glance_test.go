package render

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
	"lodegrid/scenes/verdict"
)

// A judged scene's page begins with its verdict, the picture, three figures, then why.
func TestPageBeginsWithAGlance(t *testing.T) {
	g := gridOf(t, design.Change{Key: "drive.max_duty", Value: "20 %"})
	s := pattern(t, 0, 0, 0, 0, 1, 0, 0, 1, 0, 0, 0, 0)
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	var still *Still
	v, err := verdict.Judge(t.Context(), p, s, verdict.Watch{Bare: true, Sight: func(s shown.Sight, lit []int, fluid shown.Fluid) {
		still = DrawStill(g, s, lit, shown.Drops, fluid)
	}})
	if err != nil {
		t.Fatal(err)
	}
	doc := Document{Kind: "report", Design: "sign"}
	doc.Judge(g.Design, v)
	if doc.Glance == nil || still == nil {
		t.Fatalf("no glance, or no picture: %v", v.Unrest)
	}
	doc.Glance.Still = still
	if !strings.Contains(still.Caption, "on 2 of 2 lit pixels") {
		t.Errorf("caption %q", still.Caption)
	}
	// A drop's middle is dark, and a pixel without one is not.
	w, h := still.Image.Rect.Dx(), still.Image.Rect.Dy()
	if c := still.Image.RGBAAt(w*3/12, h/2); int(c.R)+int(c.G)+int(c.B) > 200 {
		t.Errorf("the drop on row 2, column 1 is %v", c)
	}
	if c := still.Image.RGBAAt(w*5/12, h/2); int(c.R)+int(c.G)+int(c.B) < 500 {
		t.Errorf("the empty pixel on row 2, column 2 is %v", c)
	}
	// What is limited is told as the verdict has it.
	if got, want := doc.Glance.Facts[2].Text, celsius(v.Summary.Touch); got != want || v.Summary.Touch < field.ZeroCelsius || math.IsInf(v.Summary.Touch, 0) {
		t.Errorf("surface %s, want %s", got, want)
	}
	if n := len(doc.Glance.Limits.Rows); n < 4 {
		t.Errorf("%d limits are told", n)
	}
	for k, row := range doc.Glance.Limits.Rows {
		what, is := row[0].Text, row[1].Text
		if warm := strings.Contains(what, "hottest") || strings.Contains(what, "magnets"); warm != strings.HasSuffix(is, "°C") || k == 0 && is != "100 %" {
			t.Errorf("%s: %s", what, is)
		}
	}
	var b bytes.Buffer
	if err := doc.WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	at := 0
	for _, part := range []string{`<section class="problems"`, "<h2", `<div class="glance">`, "lit pixels", "of the wanted pixels", "from the supply", "within reach"} {
		k := strings.Index(b.String()[at:], part)
		if k < 0 {
			t.Fatalf("%q does not follow in the page", part)
		}
		at += k
	}
}

// A share that lacks one of thousands is not told as all of it.
func TestPercentIsNotAllTooSoon(t *testing.T) {
	for v, want := range map[float64]string{1: "100 %", 0.99967: "99.97 %", 0.9262: "92.6 %", 1 - 1e-12: "100 %", 0.99995: "99.995 %", 0: "0 %"} {
		if got := percent(v); got != want {
			t.Errorf("%g is told as %q, want %q", v, got, want)
		}
	}
	for v, want := range map[float64]string{9e-7: "less than a millionth", 2.5e-5: "25 millionths", 1.5e-4: "0.015 %"} {
		if got := part(v); got != want {
			t.Errorf("a part of %g is told as %q, want %q", v, got, want)
		}
	}
}
