package render

import (
	"bufio"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strconv"

	"lodegrid/array/grid"
)

// csvHead names the columns and their SI units.
const csvHead = "x_m,y_m,z_m,bx_t,by_t,bz_t,b_t,pi_pa\n"

// WritePlaneCSV writes a line per sample of rows from … to−1 of a plane: its place, B, |B| and the
// magnetic pressure, in SI units, as many digits as it takes to read the same numbers again;
// from left to right, rows from the top.
func WritePlaneCSV(w io.Writer, p *grid.Plane, from, to int) error {
	r := p.Raster
	out := bufio.NewWriter(w)
	if _, err := out.WriteString(csvHead); err != nil {
		return fmt.Errorf("writing a plane as CSV: %w", err)
	}
	var line []byte
	for i := from; i < to; i++ {
		for j := range r.Cols {
			at, k := r.Point(i, j), i*r.Cols+j
			line = line[:0]
			for n, v := range [...]float64{at.X, at.Y, at.Z, p.Bx[k], p.By[k], p.Bz[k], p.Abs[k], p.Pi[k]} {
				if n > 0 {
					line = append(line, ',')
				}
				line = strconv.AppendFloat(line, v, 'g', -1, 64)
			}
			if _, err := out.Write(append(line, '\n')); err != nil {
				return fmt.Errorf("writing a plane as CSV: %w", err)
			}
		}
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("writing a plane as CSV: %w", err)
	}
	return nil
}

// WriteVTI writes the plane as ImageData in VTK's open XML format (VTK file formats,
// the VTK user's guide; from memory): points with the vector B in tesla and the scalars
// B_abs and Pi, 64-bit floats in base64, metres. It is what viewers of fields read.
func WriteVTI(w io.Writer, p *grid.Plane) error {
	r := p.Raster
	if r.Rows < 1 || r.Cols < 1 {
		return fmt.Errorf("writing a plane as ImageData: %d × %d samples", r.Cols, r.Rows)
	}
	out := bufio.NewWriter(w)
	origin := r.Point(r.Rows-1, 0) // the lowest row is first: y grows upwards
	extent := fmt.Sprintf("0 %d 0 %d 0 0", r.Cols-1, r.Rows-1)
	fmt.Fprintf(out, `<?xml version="1.0"?>
<VTKFile type="ImageData" version="1.0" byte_order="LittleEndian" header_type="UInt64">
  <ImageData WholeExtent="%s" Origin="%s %s %s" Spacing="%[5]s %[5]s %[5]s">
    <Piece Extent="%[1]s">
      <PointData Scalars="B_abs" Vectors="B">
`, extent, number(origin.X), number(origin.Y), number(origin.Z), number(r.Spacing))
	for _, a := range []struct {
		name   string
		values [][]float64
	}{{"B", [][]float64{p.Bx, p.By, p.Bz}}, {"B_abs", [][]float64{p.Abs}}, {"Pi", [][]float64{p.Pi}}} {
		fmt.Fprintf(out, "        <DataArray type=\"Float64\" Name=\"%s\" NumberOfComponents=\"%d\" format=\"binary\">", a.name, len(a.values))
		if err := writeArray(out, r, a.values); err != nil {
			return fmt.Errorf("writing a plane as ImageData: %w", err)
		}
		fmt.Fprint(out, "</DataArray>\n")
	}
	fmt.Fprint(out, "      </PointData>\n    </Piece>\n  </ImageData>\n</VTKFile>\n")
	if err := out.Flush(); err != nil {
		return fmt.Errorf("writing a plane as ImageData: %w", err)
	}
	return nil
}

// writeArray writes values, interleaved, as base64 with their number of bytes before
// them.
func writeArray(w io.Writer, r grid.Raster, values [][]float64) error {
	e := base64.NewEncoder(base64.StdEncoding, w)
	var word [8]byte
	binary.LittleEndian.PutUint64(word[:], uint64(8*len(values)*r.Len()))
	if _, err := e.Write(word[:]); err != nil {
		return err
	}
	for i := r.Rows - 1; i >= 0; i-- {
		for j := range r.Cols {
			for _, v := range values {
				binary.LittleEndian.PutUint64(word[:], math.Float64bits(v[i*r.Cols+j]))
				if _, err := e.Write(word[:]); err != nil {
					return err
				}
			}
		}
	}
	return e.Close()
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
