package render

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
)

func exported(t *testing.T) *grid.Plane {
	t.Helper()
	g := gridOf(t, design.Change{Key: "grid.cols", Value: "3"}, design.Change{Key: "grid.rows", Value: "2"}, design.Change{Key: "coil.shape", Value: "square"})
	p := grid.NewPlane(g.Raster)
	g.FieldInto(p, grid.Steady([]float64{0.3, -0.1, 0.02, 0, 0.5, -0.4}))
	return p
}

// Every number read from the CSV is the plane's own.
func TestWriteCSV(t *testing.T) {
	p := exported(t)
	r := p.Raster
	read := func(from, to int) [][]float64 {
		t.Helper()
		var b bytes.Buffer
		if err := WritePlaneCSV(&b, p, from, to); err != nil {
			t.Fatal(err)
		}
		lines, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if strings.Join(lines[0], ",")+"\n" != csvHead {
			t.Fatalf("head %v", lines[0])
		}
		var out [][]float64
		for _, l := range lines[1:] {
			row := make([]float64, len(l))
			for k, s := range l {
				if row[k], err = strconv.ParseFloat(s, 64); err != nil {
					t.Fatal(err)
				}
			}
			out = append(out, row)
		}
		return out
	}
	expect := func(row []float64, i, j int) {
		t.Helper()
		k, at := i*r.Cols+j, r.Point(i, j)
		for n, v := range []float64{at.X, at.Y, at.Z, p.Bx[k], p.By[k], p.Bz[k], p.Abs[k], p.Pi[k]} {
			if row[n] != v {
				t.Fatalf("sample (%d, %d), column %d: %g, the plane has %g", i, j, n, row[n], v)
			}
		}
	}
	all := read(0, r.Rows)
	if len(all) != r.Len() {
		t.Fatalf("%d lines for %d samples", len(all), r.Len())
	}
	for k, row := range all {
		expect(row, k/r.Cols, k%r.Cols)
	}
	if row := read(5, 6); len(row) != r.Cols {
		t.Errorf("row 5 has %d samples", len(row))
	} else {
		for j := range row {
			expect(row[j], 5, j)
		}
	}
}

// A strict parse of the ImageData gives the plane's own numbers, y upwards.
func TestWriteVTI(t *testing.T) {
	p := exported(t)
	r := p.Raster
	var b bytes.Buffer
	if err := WriteVTI(&b, p); err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("LODEGRID_EXPORT"); dir != "" { // for .ci/checks/grid_vti.py
		if err := os.WriteFile(filepath.Join(dir, "plane.vti"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		var c bytes.Buffer
		if err := WritePlaneCSV(&c, p, 0, r.Rows); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "plane.csv"), c.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var file struct {
		XMLName    xml.Name `xml:"VTKFile"`
		Type       string   `xml:"type,attr"`
		ByteOrder  string   `xml:"byte_order,attr"`
		HeaderType string   `xml:"header_type,attr"`
		Image      struct {
			WholeExtent string `xml:"WholeExtent,attr"`
			Origin      string `xml:"Origin,attr"`
			Spacing     string `xml:"Spacing,attr"`
			Piece       struct {
				Extent string `xml:"Extent,attr"`
				Arrays []struct {
					Name       string `xml:"Name,attr"`
					Type       string `xml:"type,attr"`
					Components int    `xml:"NumberOfComponents,attr"`
					Format     string `xml:"format,attr"`
					Data       string `xml:",chardata"`
				} `xml:"PointData>DataArray"`
			}
		} `xml:"ImageData"`
	}
	if err := xml.Unmarshal(b.Bytes(), &file); err != nil {
		t.Fatal(err)
	}
	if want := fmt.Sprintf("0 %d 0 %d 0 0", r.Cols-1, r.Rows-1); file.Type != "ImageData" || file.ByteOrder != "LittleEndian" || file.HeaderType != "UInt64" || file.Image.WholeExtent != want || file.Image.Piece.Extent != want {
		t.Errorf("head %+v", file)
	}
	var origin, spacing [3]float64
	fmt.Sscan(file.Image.Origin, &origin[0], &origin[1], &origin[2])
	fmt.Sscan(file.Image.Spacing, &spacing[0], &spacing[1], &spacing[2])
	if at := r.Point(r.Rows-1, 0); origin != [3]float64{at.X, at.Y, at.Z} || spacing[0] != r.Spacing || spacing[1] != r.Spacing || !(spacing[2] > 0) {
		t.Errorf("origin %v, spacing %v", origin, spacing)
	}
	if len(file.Image.Piece.Arrays) != 3 {
		t.Fatalf("%d arrays", len(file.Image.Piece.Arrays))
	}
	values := map[string][][]float64{"B": {p.Bx, p.By, p.Bz}, "B_abs": {p.Abs}, "Pi": {p.Pi}}
	for _, a := range file.Image.Piece.Arrays {
		want := values[a.Name]
		raw, err := base64.StdEncoding.DecodeString(a.Data)
		if err != nil || a.Components != len(want) || a.Type != "Float64" || a.Format != "binary" {
			t.Fatalf("array %s: %d components of %s, %v", a.Name, a.Components, a.Type, err)
		}
		if n := binary.LittleEndian.Uint64(raw); n != uint64(len(raw)-8) || len(raw) != 8+8*len(want)*r.Len() {
			t.Fatalf("array %s: %d bytes, head says %d", a.Name, len(raw)-8, n)
		}
		for k := range r.Len() {
			i, j := r.Rows-1-k/r.Cols, k%r.Cols
			for c := range want {
				if got := math.Float64frombits(binary.LittleEndian.Uint64(raw[8+8*(k*len(want)+c):])); got != want[c][i*r.Cols+j] {
					t.Fatalf("array %s, point %d: %g, the plane has %g", a.Name, k, got, want[c][i*r.Cols+j])
				}
			}
		}
	}
	if err := WriteVTI(&b, &grid.Plane{}); err == nil {
		t.Error("a plane without samples is written")
	}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestExportTellsOfAFullDisk(t *testing.T) {
	p := exported(t)
	if WritePlaneCSV(fullDisk{}, p, 0, 1) == nil || WriteVTI(fullDisk{}, p) == nil {
		t.Error("a full disk goes unnoticed")
	}
}
