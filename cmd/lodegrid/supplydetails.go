package main

import (
	"fmt"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/supply"
	"lodegrid/render"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// picture is a frame that the supply command looks at.
type picture struct {
	name  string
	frame scenes.Frame
}

// supplyPictures are the scene's hungriest frame, the most that the firmware lights
// where the design caps that, and all pixels.
func supplyPictures(p *player.Player, sc scenes.Scene, l *player.Ledger) []picture {
	d, z := p.Grid().Design, l.Summary()
	frame := sc.Frames[z.PeakFrame]
	list := []picture{{fmt.Sprintf("frame %d, the hungriest", z.PeakFrame+1), frame}}
	if d.Drive.MostLit < d.Pixels() {
		list = append(list, picture{fmt.Sprintf("%d pixels, the most legal", d.Drive.MostLit), scenes.Frame{Levels: p.MostLit(), Duration: frame.Duration}})
	}
	return append(list, picture{"all on", scenes.Frame{Levels: p.Uniform(1), Duration: frame.Duration}})
}

// supplyDetails adds to a document what lies behind and below the proposed supply, and
// returns the chart of the current in the hungriest frame.
func supplyDetails(doc *render.Document, p *player.Player, sc scenes.Scene, l *player.Ledger, proposal *supply.Proposal, b player.Budget) (render.Chart, error) {
	d := p.Grid().Design
	pictures := supplyPictures(p, sc, l)
	kick, bank, err := p.KickSizing(sc, l)
	if err != nil {
		return render.Chart{}, err
	}
	if kick != nil {
		doc.Sections = append(doc.Sections, render.KickSupplySection(d, kick, bank))
	}
	basis := pictures[0].frame
	if proposal.Basis == supply.Legal {
		basis = pictures[1].frame
	}
	smaller, err := p.Smaller(basis, proposal)
	if err != nil {
		return render.Chart{}, err
	}
	if len(smaller) > 0 {
		doc.Sections[0].Tables = append(doc.Sections[0].Tables, render.SmallerTable(d, b, smaller))
	}
	modes, err := p.CompareModes(pictures[0].frame)
	if err != nil {
		return render.Chart{}, err
	}
	comparison := render.ModesSection(d, pictures[0].name, modes)
	var names []string
	var spreads []drive.Spread
	var drivers []player.Drivers
	var wires []player.WireDrops
	var starts []float64
	plain := d.Drive.Mode == design.DriveDirect || d.Drive.Mode == design.DriveStagger
	for i, c := range pictures {
		names = append(names, c.name)
		if plain {
			at, spread, err := p.Stagger(c.frame)
			if err != nil {
				return render.Chart{}, err
			}
			if i == 0 && d.Drive.Mode == design.DriveStagger {
				starts = slices.Clone(at)
			}
			spreads = append(spreads, spread)
		}
		x, err := p.Drivers(c.frame)
		if err != nil {
			return render.Chart{}, err
		}
		drivers = append(drivers, x)
		w, err := p.Wiring(c.frame.Levels)
		if err != nil {
			return render.Chart{}, err
		}
		wires = append(wires, w)
	}
	if plain {
		comparison.Tables = append(comparison.Tables, render.StaggerTable(names, spreads))
	}
	doc.Sections = append(doc.Sections, comparison, render.DriverSection(d, names, drivers), render.WiringSection(d, names, wires))
	return waveChart(p, pictures[0], starts)
}

// waveChart draws the current of a picture, beside it with all periods together where
// they start at their own times.
func waveChart(p *player.Player, c picture, starts []float64) (render.Chart, error) {
	wave, err := p.Waveform(c.frame, starts)
	if err != nil {
		return render.Chart{}, err
	}
	if starts == nil {
		return render.WaveformChart(p.Grid().Design, c.name, wave, nil), nil
	}
	same, err := p.Waveform(c.frame, nil)
	if err != nil {
		return render.Chart{}, err
	}
	return render.WaveformChart(p.Grid().Design, c.name, wave, &same), nil
}
