package generate_test

import (
	"context"
	"fmt"
	"log"

	"lodegrid/scenes"
	"lodegrid/scenes/generate"
)

// A word on its way across a grid of 8 × 20 pixels, mapped to 80 % drive.
func ExampleScene() {
	p, err := generate.Defaults("ticker", 8, 20)
	if err != nil {
		log.Fatal(err)
	}
	p.Text = "Tide"
	s, err := generate.Scene(context.Background(), "ticker", p)
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
