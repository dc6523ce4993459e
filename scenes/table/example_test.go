package table_test

import (
	"context"
	"log"
	"os"

	"lodegrid/scenes"
	"lodegrid/scenes/table"
)

// The level table is plain text; ReadCSV takes it back.
func ExampleWriteCSV() {
	s := scenes.Scene{Name: "blink", Rows: 1, Cols: 2, Frames: []scenes.Frame{
		{Levels: []float64{1, 0}, Duration: 0.5},
		{Levels: []float64{0, -0.25}, Duration: 0.5},
	}}
	if err := table.WriteCSV(context.Background(), os.Stdout, s); err != nil {
		log.Fatal(err)
	}
	// Output:
	// duration_s,r1c1,r1c2
	// 0.5,1,0
	// 0.5,0,-0.25
}
