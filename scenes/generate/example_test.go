package scenes_test

import (
	"context"
	"fmt"
	"log"
	"os"

	"lodegrid/scenes"
)

// A word on its way across a grid of 8 × 20 pixels, mapped to 80 % drive.
func ExampleGenerate() {
	p, err := scenes.Defaults("ticker", 8, 20)
	if err != nil {
		log.Fatal(err)
	}
	p.Text = "Tide"
	s, err := scenes.Generate(context.Background(), "ticker", p)
	if err != nil {
		log.Fatal(err)
	}
	m := scenes.DefaultMapping()
	m.Level = 0.8
	if s, err = m.Scene(context.Background(), s); err != nil {
		log.Fatal(err)
	}
	f := s.Frames[s.At(2.4)]
	for row := range s.Rows {
		for _, v := range f.Levels[row*s.Cols : (row+1)*s.Cols] {
			if v == 0.8 {
				fmt.Print("#")
			} else {
				fmt.Print(".")
			}
		}
		fmt.Println()
	}
	// Output:
	// #####..#......#.....
	// ..#...........#.....
	// ..#...##...##.#..###
	// ..#....#..#..##.#...
	// ..#....#..#...#.####
	// ..#....#..#...#.#...
	// ..#...###..####..###
	// ....................
}

// The level table is plain text; ReadCSV takes it back.
func ExampleWriteCSV() {
	s := scenes.Scene{Name: "blink", Rows: 1, Cols: 2, Frames: []scenes.Frame{
		{Levels: []float64{1, 0}, Duration: 0.5},
		{Levels: []float64{0, -0.25}, Duration: 0.5},
	}}
	if err := scenes.WriteCSV(context.Background(), os.Stdout, s); err != nil {
		log.Fatal(err)
	}
	// Output:
	// duration_s,r0c0,r0c1
	// 0.5,1,0
	// 0.5,0,-0.25
}
