package main

import (
	"context"
	"math"

	"lodegrid/field"
	"lodegrid/render"
	"lodegrid/render/order"
	"lodegrid/render/output"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

var orderCommand = command{
	name: "order", reads: designAndScene, short: "the folder a board is ordered from: layers, drills and drawings",
	long: `Draws the board and writes a folder: an image of each copper layer, masks, legend
and outline in the Gerber layer format, drill files, and drawings of the stack-up and of a
pixel. The drawing is held against the board house's rules, its net is traced, and length,
area, resistance and field are compared with the model's; then come the parts to buy and what
to measure on a board that came, with the values to expect. Where a rule is broken no folder is
written, and the exit code is 4. It is 4, too, where the display breaks a limit; the folder is
written then, and its README says which. A board of one pixel to measure first:
lodegrid order --set grid.cols=1 --set grid.rows=1 --scene all-on -o pixel`,
	setup: func(f *flagSet) body {
		folder := f.folder("order", "folder to write", output.Kind{Endings: []string{"/"}, Files: order.Names, Speaker: order.README})
		out := f.print(nil)
		return func(ctx context.Context, j *job) error {
			doc, files, err := drawOrder(ctx, j, folder.Path)
			if err == nil && files != nil {
				err = writeAll(folder, append(files, order.ReadMe(&doc)))
			}
			if err != nil {
				return err
			}
			return out.write(j.design, doc)
		}
	},
}

// drawOrder draws and checks the board and judges the display. Without files, the board is
// not to be ordered, and the document says why.
func drawOrder(ctx context.Context, j *job, folder string) (render.Document, []order.File, error) {
	d := j.design
	doc := j.document()
	g, p, err := j.prepare(ctx)
	if err != nil {
		return doc, nil, err
	}
	made, err := g.Drawn(ctx)
	if err != nil {
		return doc, nil, err
	}
	if made.Misfit != nil {
		doc.Problems = []render.Problem{render.MisfitProblem(made.Misfit)}
		return doc, nil, nil
	}
	b, net := made.Board, made.Net
	drawn, problems := render.DrawnSection(d, b, net, b.Checks())
	doc.Sections = []render.Section{render.BoardSection(d, b), drawn}
	if problems != nil {
		doc.Problems = problems
		return doc, nil, nil
	}
	j.bare = true // who orders has made up their mind: trials of remedies are the report's
	v, err := j.judge(ctx, p, nil)
	if err != nil {
		return doc, nil, err
	}
	j.tell(&doc, v)
	doc.Problems = append(doc.Problems, render.UndrawnProblem(d, b, v.Undrawn != "")...)
	buy := render.Bought{Supply: v.Supply, Fill: player.FillOf(g, j.scene)}
	if v.Unrest == nil {
		played := render.SceneSection(d, j.scene, v.Ledger)
		played.Tables = nil
		doc.Sections = append(doc.Sections, played)
		if buy.Kick, _, err = studies.KickSizing(ctx, g, j.scene, v.Ledger); err != nil {
			return doc, nil, err
		}
	}
	if buy.Drivers, err = studies.Parts(g); err != nil {
		return doc, nil, err
	}
	amperes := math.Abs(g.Pixel.FullCurrent)
	incoming, err := render.IncomingSection(ctx, d, amperes, amperes*g.Pixel.Coil.Resistance(field.RoomTemperature))
	if err != nil {
		return doc, nil, err
	}
	doc.Sections = append(doc.Sections, render.PartsSection(d, b, buy), incoming)
	files := order.Files(d, b)
	doc.Sections = append(doc.Sections, order.FilesSection(folder, b, files))
	return doc, files, nil
}
