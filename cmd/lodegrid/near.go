package main

import (
	"context"
	"fmt"
	"reflect"
	"sync"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/field/aside"
	"lodegrid/render"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/verdict"
)

// near makes the report's figures of displays that came out a little different from the one
// that was judged, without playing the scene anew.
type near struct {
	grid   *grid.Grid
	player *player.Player
	scene  scenes.Scene
	ledger *player.Ledger
	pixels []render.Section // the report's
	probe  *player.Probe    // of the display judged
}

// nearby adds to the figures of a report how far they may be off, and how many displays keep
// the limits, as doubt does in many times the time. pixels are its sections by pixelSections.
func (j *job) nearby(ctx context.Context, doc *render.Document, pixels []render.Section) error {
	if j.judged.Ledger == nil || j.nominal != nil {
		return nil
	}
	g, p, err := j.prepare(ctx) // of the drive that was judged
	if err != nil {
		return err
	}
	d, list := j.design, doubts(j.design)
	n := &near{grid: g, player: p, scene: j.scene, ledger: j.judged.Ledger, pixels: pixels}
	base, err := n.page(ctx, d)
	if err != nil {
		return fmt.Errorf("looking at what is in doubt: %w", err)
	}
	step := j.progress("doubting", len(list))
	moved := make([]render.Moved, len(list))
	var one sync.Mutex
	err = aside.Each(len(list), func(k int) (err error) { // none knows of the others
		moved[k], err = n.page(ctx, off(d, list, k))
		if player.Restless(err) {
			moved[k], err = render.Moved{Figures: base.Figures}, nil // its margins are missing
		}
		if err != nil {
			return fmt.Errorf("with %s off by its doubt: %w", list[k].Key, err)
		}
		one.Lock()
		defer one.Unlock()
		step()
		return nil
	})
	if err != nil {
		return err
	}
	doc.Doubt(d, list, j.judged.Margins, doc.Beside(j.judged.Margins, base, moved), true)
	return nil
}

// page is what the report says of a display, as far as what differs touches it.
func (n *near) page(ctx context.Context, d design.Design) (render.Moved, error) {
	var doc render.Document
	margins, err := n.fill(ctx, d, &doc)
	return render.Moved{Figures: doc.ByPath(), Margins: margins}, err
}

func (n *near) fill(ctx context.Context, d design.Design, doc *render.Document) (_ []verdict.Margin, err error) {
	first, own, g, p := n.probe == nil, n.grid.Design, n.grid, n.player
	if !first {
		if g, err = g.Near(ctx, d); err != nil {
			return nil, err
		}
		if p, err = p.Near(g); err != nil {
			return nil, err
		}
	}
	add := func(s ...render.Section) { doc.Sections = append(doc.Sections, s...) }
	warm, touched := first || !n.player.AsWarm(d), d
	touched.Heat = own.Heat
	switch {
	case first:
		add(n.pixels...)
	case !reflect.DeepEqual(touched, own):
		pixels, _, err := pixelSections(ctx, g, render.FieldFigures)
		if err != nil {
			return nil, err
		}
		add(pixels...)
	}
	from := n.probe
	if warm {
		from = nil
	}
	driven := first || d.Drive != own.Drive || d.Supply != own.Supply || g.Pixel.Full != n.grid.Pixel.Full
	probe, err := p.Probe(ctx, n.scene, n.ledger, from, driven)
	if err != nil {
		return nil, err
	}
	if first {
		n.probe = probe
	}
	v, err := verdict.Near(ctx, p, n.scene, n.ledger.Near(n.probe, probe, d.Limits))
	if err != nil {
		return nil, err
	}
	add(sceneSection(g, n.scene, v), render.LiquidsSection(d, v), render.SupplySection(v.Supply))
	if !warm {
		return v.Margins, nil
	}
	held, err := render.HeatFigures(ctx, d, p)
	if err != nil {
		return nil, err
	}
	mounting, err := render.MountingFigures(ctx, p, n.scene)
	if err != nil {
		return nil, err
	}
	add(held, mounting)
	return v.Margins, addFaults(ctx, doc, p, n.scene, v)
}
