package order

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"strconv"
	"testing"

	"lodegrid/array/artwork"
	"lodegrid/array/design/trial"
	"lodegrid/array/escape"
)

// The list says of each wire, pixels counted from 0 and pin 1 where the current enters, where
// its hole is and what leads there: by hand, along rows and columns alone, 1/58 Ω·mm²/m
// (IEC 60028) on 1 oz of copper, 34.8 µm.
func TestConnections(t *testing.T) {
	d := trial.Sign(t, "board.layers=2", "coil.layers=2", "grid.cols=8", "grid.rows=3")
	b, err := artwork.Draw(context.Background(), d, escape.Answer{})
	if err != nil {
		t.Fatal(err)
	}
	if b, err = artwork.Draw(context.Background(), d, escape.Of(d, b.Coil, 0.1)); err != nil {
		t.Fatal(err)
	}
	var text bytes.Buffer
	if err := connections(&text, b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&text).ReadAll()
	if err != nil || len(rows) != 1+48 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for i, w := range b.Ways {
		row := rows[1+i]
		length := 0.0
		for k, p := range w.Track.Points[1:] {
			q := w.Track.Points[k]
			length += math.Abs(p.X-q.X) + math.Abs(p.Y-q.Y)
		}
		pin := 2.0
		if w.From == artwork.WireIn {
			pin = 1
		}
		for k, want := range map[int]float64{0: float64(8*w.Row + w.Col), 2: pin, 3: float64(w.Track.Layer + 1), 4: w.End.At.X, 5: w.End.At.Y, 6: length, 7: length / 58e6 / (w.Track.Width * 34.8e-6)} {
			if got, err := strconv.ParseFloat(row[k], 64); err != nil || math.Abs(got-want) > 2e-3*math.Abs(want) {
				t.Errorf("%s of row %d: %s, want %g", rows[0][k], i+1, row[k], want)
			}
		}
	}
}
