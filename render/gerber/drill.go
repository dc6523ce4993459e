package gerber

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/artwork"
)

// drillFunction is what a hole is for, in the words of the attribute .AperFunction.
var drillFunction = map[artwork.HoleKind]string{
	artwork.Via: "Plated,PTH,ViaDrill", artwork.WireIn: "Plated,PTH,ComponentDrill", artwork.WireOut: "Plated,PTH,ComponentDrill", artwork.WireRow: "Plated,PTH,ComponentDrill", artwork.WireEnd: "Plated,PTH,ComponentDrill",
	artwork.SenseIn: "Plated,PTH,ComponentDrill", artwork.SenseOut: "Plated,PTH,ComponentDrill",
	artwork.Core: "NonPlated,NPTH,MechanicalDrill", artwork.Mount: "NonPlated,NPTH,MechanicalDrill",
}

// tool is one diameter for one purpose.
type tool struct {
	diameter float64
	function string
}

// Drill writes the plated or the bare holes, all of which go through the whole board:
// a header with the tools, then each tool's places with decimal points.
func Drill(w io.Writer, b *artwork.Board, plated bool) error {
	places := map[tool][]r2.Vec{}
	add := func(h artwork.Hole, by r2.Vec) {
		if h.Plated() == plated {
			t := tool{h.Drill, drillFunction[h.Kind]}
			places[t] = append(places[t], r2.Add(h.At, by))
		}
	}
	pixels(b, func(row, col int, by r2.Vec) {
		for _, h := range b.At(row, col).Holes {
			add(h, by)
		}
	})
	for _, h := range b.Others() {
		add(h, r2.Vec{})
	}
	var tools []tool
	for t := range places {
		tools = append(tools, t)
	}
	slices.SortFunc(tools, func(a, b tool) int {
		return cmp.Or(cmp.Compare(a.diameter, b.diameter), cmp.Compare(a.function, b.function))
	})
	function := fmt.Sprintf("NonPlated,1,%d,NPTH", len(b.Layers))
	if plated {
		function = fmt.Sprintf("Plated,1,%d,PTH", len(b.Layers))
	}
	out := bufio.NewWriter(w)
	fmt.Fprintf(out, "M48\n; #@! TF.GenerationSoftware,lodegrid,lodegrid\n; #@! TF.SameCoordinates\n; #@! TF.FileFunction,%s\nMETRIC\n", function)
	for i, t := range tools {
		fmt.Fprintf(out, "; #@! TA.AperFunction,%s\nT%02dC%.3f\n", t.function, i+1, t.diameter*1e3)
	}
	fmt.Fprint(out, "%\nG05\n")
	for i, t := range tools {
		fmt.Fprintf(out, "T%02d\n", i+1)
		for _, p := range places[t] {
			fmt.Fprintf(out, "X%.4fY%.4f\n", p.X*1e3, p.Y*1e3)
		}
	}
	fmt.Fprint(out, "M30\n")
	if err := out.Flush(); err != nil {
		return fmt.Errorf("writing the drill file: %w", err)
	}
	return nil
}
