package main

import (
	"context"
	"fmt"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
	"lodegrid/field/quantity"
	"lodegrid/render"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
	"lodegrid/scenes/verdict"
)

// picture is a frame that the supply command looks at.
type picture struct {
	name  string
	frame scenes.Frame
}

// supplyPictures are the scene's frame that draws most, the most that the firmware lights
// where the design caps that, and all pixels.
func supplyPictures(g *grid.Grid, sc scenes.Scene, z player.Summary) []picture {
	d := g.Design
	frame := sc.Frames[z.PeakFrame]
	list := []picture{{fmt.Sprintf("frame %d, which draws most", z.PeakFrame+1), frame}}
	if d.Drive.MostLit < d.Pixels() {
		list = append(list, picture{quantity.Count(d.Drive.MostLit, "pixel") + ", the most legal", scenes.Frame{Levels: studies.MostLit(g), Duration: frame.Duration}})
	}
	return append(list, picture{"all on", scenes.Frame{Levels: studies.AllOn(g), Duration: frame.Duration}})
}

// supplyDetails adds to a document what lies behind and below the proposed supply, and
// returns the chart of the current in the frame that draws most.
func supplyDetails(ctx context.Context, doc *render.Document, g *grid.Grid, sc scenes.Scene, v *verdict.Verdict) (render.Chart, error) {
	d, proposal := g.Design, v.Supply
	pictures := supplyPictures(g, sc, v.Summary)
	kick, bank, err := studies.KickSizing(ctx, g, sc, v.Ledger)
	if err != nil {
		return render.Chart{}, err
	}
	if kick != nil {
		doc.Sections = append(doc.Sections, render.KickSupplySection(kick, bank))
	}
	basis := pictures[0].frame
	if proposal.Basis == supply.Legal {
		basis = pictures[1].frame
	}
	smaller, err := studies.SmallerSupplies(ctx, g, basis, proposal)
	if err != nil {
		return render.Chart{}, err
	}
	if len(smaller) > 0 && !v.Carried { // a dimmed kick carries no drop
		if err := v.Duties(ctx); err != nil {
			return render.Chart{}, err
		}
		doc.Sections[0].Tables = append(doc.Sections[0].Tables, render.SmallerTable(v, smaller))
	}
	zones, err := studies.Zones(ctx, g, sc, proposal)
	if err != nil {
		return render.Chart{}, err
	}
	if zones != nil {
		doc.Sections = append(doc.Sections, render.ZonesSection(zones))
	}
	spare, err := studies.SpareCapacitors(ctx, g, sc, v.Ledger, proposal)
	if err != nil {
		return render.Chart{}, err
	}
	if len(spare) > 0 {
		doc.Sections[0].Tables = append(doc.Sections[0].Tables, render.SparingTable(spare))
	}
	modes, err := studies.CompareModes(ctx, g, pictures[0].frame)
	if err != nil {
		return render.Chart{}, err
	}
	comparison := render.ModesSection(d, pictures[0].name, modes)
	var names []string
	var spreads []drive.Spread
	var drivers []studies.Drivers
	var wires []studies.WireDrops
	var starts []float64
	plain := d.Drive.Mode == design.DriveDirect || d.Drive.Mode == design.DriveStagger
	for i, c := range pictures {
		names = append(names, c.name)
		if plain {
			at, spread, err := studies.Stagger(ctx, g, c.frame)
			if err != nil {
				return render.Chart{}, err
			}
			if i == 0 && d.Drive.Mode == design.DriveStagger {
				starts = slices.Clone(at)
			}
			spreads = append(spreads, spread)
		}
		x, err := studies.DriveFrame(g, c.frame)
		if err != nil {
			return render.Chart{}, err
		}
		drivers = append(drivers, x)
		w, err := studies.Wiring(ctx, g, c.frame.Levels)
		if err != nil {
			return render.Chart{}, err
		}
		wires = append(wires, w)
	}
	if plain {
		comparison.Tables = append(comparison.Tables, render.StaggerTable(names, spreads))
	}
	parts, err := studies.Parts(g)
	if err != nil {
		return render.Chart{}, err
	}
	driverSection := render.DriverSection(d, names, drivers)
	driverSection.Facts = render.DriverParts(d, parts)
	doc.Sections = append(doc.Sections, comparison, driverSection, render.WiringSection(d, names, wires))
	return waveChart(ctx, g, pictures[0], starts)
}

// waveChart draws the current of a picture, beside it with all periods together where
// they start at their own times.
func waveChart(ctx context.Context, g *grid.Grid, c picture, starts []float64) (render.Chart, error) {
	wave, err := studies.SampleWaveform(ctx, g, c.frame, starts)
	if err != nil {
		return render.Chart{}, err
	}
	if starts == nil {
		return render.WaveformChart(g.Design, c.name, wave, nil), nil
	}
	same, err := studies.SampleWaveform(ctx, g, c.frame, nil)
	if err != nil {
		return render.Chart{}, err
	}
	return render.WaveformChart(g.Design, c.name, wave, &same), nil
}
