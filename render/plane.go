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

// Cut is a part of a plane: all of it, or the samples nearest to a line.
type Cut struct {
	Along Axis
	At    float64 // m, the line's place on the other axis
}

// Axis names the direction of a cut.
type Axis string

// The cuts' directions; the empty one is the whole plane.
const (
	Whole  Axis = ""
	AlongX Axis = "x" // the row of samples nearest to y = At
	AlongY Axis = "y" // the column of samples nearest to x = At
)

// csvHead names the columns and their SI units.
const csvHead = "x_m,y_m,z_m,bx_t,by_t,bz_t,b_t,pi_pa\n"

// WritePlaneCSV writes a line per sample of a cut: its place, B, |B| and the magnetic
// pressure, in SI units, as many digits as it takes to read the same numbers again;
// from left to right, rows from the top; a cut along y from the top. It fails for a line
// outside the plane.
func WritePlaneCSV(w io.Writer, p *grid.Plane, c Cut) error {
	r := p.Raster
	rows, cols := [2]int{0, r.Rows}, [2]int{0, r.Cols}
	switch c.Along {
	case Whole:
	case AlongX:
		i, err := nearest(float64(r.Rows)/2-c.At/r.Spacing, r.Rows, "y", c.At, r.Spacing)
		if err != nil {
			return err
		}
		rows = [2]int{i, i + 1}
	case AlongY:
		j, err := nearest(float64(r.Cols)/2+c.At/r.Spacing, r.Cols, "x", c.At, r.Spacing)
		if err != nil {
			return err
		}
		cols = [2]int{j, j + 1}
	default:
		return fmt.Errorf("writing a plane: a cut along %q; %q, %q and the whole plane are possible", string(c.Along), string(AlongX), string(AlongY))
	}
	out := bufio.NewWriter(w)
	if _, err := out.WriteString(csvHead); err != nil {
		return fmt.Errorf("writing a plane as CSV: %w", err)
	}
	var line []byte
	for i := rows[0]; i < rows[1]; i++ {
		for j := cols[0]; j < cols[1]; j++ {
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

// nearest is the sample whose cell holds a place counted in samples from the edge.
func nearest(at float64, n int, axis string, metres, spacing float64) (int, error) {
	if !(at >= 0 && at <= float64(n)) {
		return 0, fmt.Errorf("writing a plane: the line at %s = %g mm lies outside; −%.4g…%.4g mm are possible",
			axis, metres*1e3, float64(n)/2*spacing*1e3, float64(n)/2*spacing*1e3)
	}
	return min(int(at), n-1), nil
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
