package main

import (
	"bytes"
	"image"
	"image/color"
	"image/gif"
	"os"
	"path/filepath"
	"testing"
)

// sprite is something bright on the dark, drawn with '#', from its upper left corner on.
type sprite struct {
	rows     []string
	row, col int
}

// drawn is an animation on 16 × 10 pixels, each picture for so many hundredths of a second.
func drawn(t *testing.T, hundredths, pictures int, picture func(k int) []sprite) []byte {
	t.Helper()
	var g gif.GIF
	for k := range pictures {
		p := image.NewPaletted(image.Rect(0, 0, 16, 10), color.Palette{color.Black, color.White})
		for _, s := range picture(k) {
			for i, row := range s.rows {
				for j, c := range row {
					if c == '#' {
						p.SetColorIndex(s.col+j, s.row+i, 1)
					}
				}
			}
		}
		g.Image, g.Delay = append(g.Image, p), append(g.Delay, hundredths)
	}
	var b bytes.Buffer
	if err := gif.EncodeAll(&b, &g); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// gulls are three that fly to and fro and flap: as many drops in every picture.
func gulls(k int) (list []sprite) {
	poses := [][]string{{"#.#", ".#."}, {".#.", "#.#"}}
	for n, from := range [][2]int{{0, 0}, {3, 6}, {6, 3}} {
		way := (k + 2*n) % 12
		list = append(list, sprite{poses[(k+n)%2], from[0], from[1] + min(way, 12-way)})
	}
	return list
}

// boat is one that goes to and fro and bobs on a swell: its hull and sail as one block.
func boat(k int) []sprite {
	way := k % 12
	return []sprite{{[]string{"..#..", "..##.", "#####", ".###."}, 3 + (k/2)%2, 2 + min(way, 12-way)}}
}

// The animations of the table of what is carried are those that are drawn here; -regen stores them.
func TestOwnAnimations(t *testing.T) {
	for name, data := range map[string][]byte{"gulls.gif": drawn(t, 400, 12, gulls), "boat.gif": drawn(t, 600, 12, boat)} {
		path := filepath.Join("../../testdata/carry", name)
		if *regen {
			if err := os.WriteFile(path, data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if got := readFile(t, path); got != string(data) {
			t.Errorf("%s is not what is drawn: %d bytes, want %d", path, len(got), len(data))
		}
	}
}
