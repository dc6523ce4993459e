package main

import (
	"context"
	"fmt"
	"slices"

	"lodegrid/array/design"
	"lodegrid/render"
)

// doubted declares the flag that asks how far the figures may be off.
func (f *documentFlags) doubted() {
	f.flags.BoolVar(&f.doubt, "doubt", false, "add to every figure how far it may be off, by the doubts that the design states (lodegrid fit writes them) or the usual tolerances, and how many displays of 100 keep the limits; takes as many times as long as there are doubts")
}

// doubt has a document made again with each doubt of the design off by a standard deviation.
func (j *job) doubt(ctx context.Context, doc *render.Document, again made) error {
	d, list := j.design, doubts(j.design)
	own := j.judged
	var moved []render.Moved
	for k, t := range list {
		j.doing(fmt.Sprintf("doubting %d of %d", k+1, len(list)))
		x := *j
		x.design, x.nominal = off(d, list, k), &d
		page, err := again(ctx, &x, false)
		if err != nil {
			return fmt.Errorf("with %s off by its doubt: %w", t.Key, err)
		}
		moved = append(moved, render.Moved{Figures: page.ByPath(), Margins: x.judged.Margins})
	}
	doc.Doubt(d, list, own.Margins, moved, false)
	// It belongs in front of what it is about.
	last := len(doc.Sections) - 1
	doc.Sections = slices.Insert(doc.Sections[:last:last], 0, doc.Sections[last])
	return nil
}

// doubts are those of a design that a display has.
func doubts(d design.Design) []design.Doubt {
	return design.Picked(d.Doubts(), func(t design.Doubt) bool { return t.Key != "bench.probe" })
}

// off is a design with one of its doubts off by a standard deviation.
func off(d design.Design, list []design.Doubt, k int) design.Design {
	by := make([]float64, len(list))
	if by[k] = 1; list[k].Key == "supply.voltage" {
		by[k] = -1 // the ladder of supplies has a rung at what is asked for, none just above
	}
	return d.Shifted(list, by)
}
