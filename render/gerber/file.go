package gerber

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// file is a layer's image that is being written. The first error stays and ends it.
type file struct {
	w         *bufio.Writer
	apertures map[string]int
	current   int
	net, pad  string // object attributes in force
}

// begin writes what stands before the image: attributes of the file (section 5.2, its
// standard ones 5.6), the format of coordinates and the unit (4.2), and the arcs' mode (4.7).
func begin(w io.Writer, function, polarity string) *file {
	f := &file{w: bufio.NewWriter(w), apertures: map[string]int{}}
	f.write("%TF.GenerationSoftware,lodegrid,lodegrid*%")
	f.write("%TF.Part,Single*%")
	f.write("%TF.SameCoordinates*%")
	f.write("%TF.FileFunction," + function + "*%")
	if polarity != "" {
		f.write("%TF.FilePolarity," + polarity + "*%")
	}
	f.write("%FSLAX46Y46*%")
	f.write("%MOMM*%")
	f.write("%LPD*%")
	f.write("G75*")
	f.write("G01*")
	return f
}

// end writes the end of the file (4.13).
func (f *file) end() error {
	f.write("M02*")
	if err := f.w.Flush(); err != nil {
		return fmt.Errorf("writing board data: %w", err)
	}
	return nil
}

func (f *file) write(line string) {
	_, _ = f.w.WriteString(line) // bufio keeps the error for Flush
	_ = f.w.WriteByte('\n')
}

// circle takes a round aperture of a diameter in metres for what follows, defined where it
// is first used (4.3, 4.4), with its function (the aperture attribute .AperFunction).
func (f *file) circle(diameter float64, function string) {
	key := fmt.Sprintf("%s %.6f", function, diameter*1e3)
	code, ok := f.apertures[key]
	if !ok {
		code = 10 + len(f.apertures)
		f.apertures[key] = code
		f.write("%TA.AperFunction," + function + "*%")
		f.write(fmt.Sprintf("%%ADD%dC,%.6f*%%", code, diameter*1e3))
		f.write("%TD.AperFunction*%")
	}
	if code != f.current {
		f.current = code
		f.write(fmt.Sprintf("D%d*", code))
	}
}

// object sets the net, and for a pad its pixel and pin, of what follows: the object
// attributes .N and .P.
func (f *file) object(net, pad string) {
	if net != f.net {
		f.write("%TO.N," + net + "*%")
	}
	if pad != f.pad {
		if pad == "" {
			f.write("%TD.P*%")
		} else {
			f.write("%TO.P," + pad + "*%")
		}
	}
	f.net, f.pad = net, pad
}

// number is a length in metres as the coordinate's digits (4.2.2).
func number(v float64) int64 { return int64(math.Round(v * 1e9)) }

func at(p r2.Vec) string { return fmt.Sprintf("X%dY%d", number(p.X), number(p.Y)) }

// flash puts the aperture at a point (4.8, from memory).
func (f *file) flash(p r2.Vec) { f.write(at(p) + "D03*") }

// draw moves the aperture along a path.
func (f *file) draw(p path, by r2.Vec) {
	from := r2.Add(p.start, by)
	f.write(at(from) + "D02*")
	mode := 1
	var b strings.Builder
	for _, piece := range p.pieces {
		to := r2.Add(piece.to, by)
		b.Reset()
		if piece.turn != mode {
			fmt.Fprintf(&b, "G%02d*\n", piece.turn)
			mode = piece.turn
		}
		b.WriteString(at(to))
		if piece.turn != line {
			centre := r2.Add(piece.centre, by)
			fmt.Fprintf(&b, "I%dJ%d", number(centre.X)-number(from.X), number(centre.Y)-number(from.Y))
		}
		b.WriteString("D01*")
		f.write(b.String())
		from = to
	}
	if mode != line {
		f.write("G01*")
	}
}

// repeat begins a block that is repeated to the right and upwards (step and repeat, 4.12,
// from memory); endRepeat ends it.
func (f *file) repeat(cols, rows int, pitch float64) {
	f.write(fmt.Sprintf("%%SRX%dY%dI%.6fJ%.6f*%%", cols, rows, pitch*1e3, pitch*1e3))
}

func (f *file) endRepeat() { f.write("%SR*%") }
