package main

import (
	"context"
	"fmt"
	"io"
	"regexp"
	"strings"

	"lodegrid/array/artwork"
	"lodegrid/array/design"
	"lodegrid/array/fit"
	"lodegrid/field/quantity"
	"lodegrid/render"
	"lodegrid/render/order"
	"lodegrid/render/output"
)

// couponNames are the files of a coupon's folder.
var couponNames = regexp.MustCompile(`^(coil-\d+\.toml|readings\.csv|predicted\.csv)$|` + order.Names.String())

var couponCommand = command{
	name: "coupon", reads: oneDesign, short: "a small test board: which coils to put on it and what to read, before a grid is ordered",
	long: `Chooses variants of the design's coil for a small board (layers skipped, wider track,
steel left off or farther back, copper poured round it) whose readings settle best what is in doubt: copper and track
as made, steel gap, probe depth, heat paths, grip of the panes. Tells how well each will be
known, against changing one thing at a time, and what the design predicts for each reading.
-o writes a folder: the board with these coils as it is ordered (layers, drills, labels, a
voltmeter's hole beside each wire's), what to measure on it (README.txt), a design file per
coil, the predicted readings, and a table to fill in for lodegrid fit.`,
	setup: func(f *flagSet) body {
		folder := f.folder("", "folder to write", output.Kind{Endings: []string{"/"}, Files: couponNames, Yours: true})
		size := f.String("board", "50 mm x 50 mm", "size of the test board")
		coils := f.Int("coils", 4, "most coils to put on it")
		out := f.print(nil)
		var width, height float64
		f.check(func() error {
			w, h, ok := strings.Cut(strings.ReplaceAll(*size, "×", "x"), "x")
			var err error
			if width, err = quantity.Parse(strings.TrimSpace(w), quantity.Length); err == nil {
				height, err = quantity.Parse(strings.TrimSpace(h), quantity.Length)
			}
			if !ok || err != nil || !(width > 0 && height > 0 && width <= 1 && height <= 1) {
				return usageError{fmt.Sprintf("--board %q: want a width and a height up to 1 m, such as 50 mm x 50 mm", *size)}
			}
			return nil
		})
		return func(ctx context.Context, j *job) error {
			j.doing("proposing")
			c, err := fit.Propose(ctx, j.design, width, height, *coils)
			if err != nil {
				return benchError(err)
			}
			doc := j.document(render.CouponSection(j.design, c))
			if folder.Asked() {
				if err := writeCoupon(ctx, folder, &doc, j.design, c, width, height); err != nil {
					return err
				}
			}
			return out.write(j.design, doc)
		}
	},
}

// writeCoupon draws the board of a coupon and writes its folder.
func writeCoupon(ctx context.Context, folder *output.Target, doc *render.Document, d design.Design, c *fit.Coupon, width, height float64) error {
	panel, nets, err := artwork.Panel(ctx, c.Designs, width, height)
	if err != nil {
		return inputError{err}
	}
	files := order.Files(d, panel)
	doc.Sections = append(doc.Sections, render.PanelSection(d, panel, nets), order.FilesSection(folder.Path, panel, files))
	for i, coil := range c.Designs {
		files = append(files, order.File{Name: fmt.Sprintf("coil-%d.toml", i+1), Write: coil.WriteTOML})
	}
	return writeAll(folder, append(files, order.ReadMe(doc),
		order.File{Name: "readings.csv", Write: func(w io.Writer) error { return c.WriteTable(w, false) }},
		order.File{Name: "predicted.csv", Write: func(w io.Writer) error { return c.WriteTable(w, true) }}))
}
