package table

import (
	"bufio"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"lodegrid/array/extent"
	"lodegrid/scenes"
)

// csvDuration heads the first column of a level table.
const csvDuration = "duration_s"

// ReadCSV reads a level table: comma-separated text (RFC 4180), one record per
// frame, first the frame's duration in seconds, then its rows*cols levels of
// −1…1, row by row from the top. A first record that begins with "duration_s"
// is a heading and is skipped; so are empty lines and lines that begin with #.
//
//	duration_s,r1c1,r1c2,r2c1,r2c2
//	0.05,0,0.5,1,-1
//
// An error names the line and the byte column, both from 1.
func ReadCSV(ctx context.Context, r io.Reader, name string, rows, cols int, lim scenes.Limits) (scenes.Scene, error) {
	if err := extent.Check(rows, cols); err != nil {
		return scenes.Scene{}, fmt.Errorf("reading level table %s: %w", name, err)
	}
	in := bufio.NewReader(lim.Reader(ctx, r))
	if mark, err := in.Peek(3); err == nil && string(mark) == "\xef\xbb\xbf" {
		_, _ = in.Discard(3) // a byte order mark, already buffered
	}
	lines := &csvLines{in: in, rows: rows, cols: cols}
	c := csv.NewReader(lines)
	c.Comment = '#'
	c.FieldsPerRecord = -1 // checked below, with the place
	c.ReuseRecord = true
	c.TrimLeadingSpace = true

	s := scenes.Scene{Name: name, Rows: rows, Cols: cols}
	size := rows * cols
	var total float64
	for first := true; ; first = false {
		record, err := c.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return scenes.Scene{}, csvError(name, len(s.Frames), lines, err)
		}
		fail := func(field int, err error) error {
			line, column := c.FieldPos(field)
			return &scenes.InputError{Name: name, Line: line, Column: column, Err: err}
		}
		if len(record) != size+1 {
			return scenes.Scene{}, fail(len(record)-1, csvFieldCount(record, rows, cols))
		}
		if first && strings.EqualFold(strings.TrimSpace(record[0]), csvDuration) {
			continue
		}
		if err := lim.CheckFrames(len(s.Frames)+1, size); err != nil {
			return scenes.Scene{}, fail(0, err)
		}
		f := scenes.Frame{Levels: make([]float64, size)}
		if f.Duration, err = csvNumber(record[0]); err == nil {
			err = scenes.CheckDuration(f.Duration)
		}
		if err != nil {
			if first {
				err = fmt.Errorf("%w; a heading begins with %q", err, csvDuration)
			}
			return scenes.Scene{}, fail(0, fmt.Errorf("duration: %w", err))
		}
		for p, text := range record[1:] {
			v, err := csvNumber(text)
			if err == nil {
				err = scenes.CheckLevel(v)
			}
			if err != nil {
				return scenes.Scene{}, fail(p+1, fmt.Errorf("frame %d, %s: %w", len(s.Frames)+1, extent.PlaceOf(p, cols), err))
			}
			f.Levels[p] = v
		}
		if total += f.Duration; total > lim.Duration {
			return scenes.Scene{}, fail(0, fmt.Errorf("the frames up to here last %g s, the limit is %g s", total, lim.Duration))
		}
		s.Frames = append(s.Frames, f)
	}
	if len(s.Frames) == 0 {
		return scenes.Scene{}, scenes.InputErrorf(name, "the level table holds no frame: want records of a duration in seconds and %d levels", size)
	}
	return s, nil
}

func csvNumber(text string) (float64, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0, errors.New("empty field, want a number")
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, fmt.Errorf("%.40q is not a number", text)
	}
	return v, nil
}

func csvFieldCount(record []string, rows, cols int) error {
	for _, sep := range []string{";", "\t"} {
		if strings.Contains(record[0], sep) {
			return fmt.Errorf("fields are separated by %q: want \",\"", sep)
		}
	}
	return fmt.Errorf("%d fields: want %d, the duration and %d rows × %d columns of levels", len(record), rows*cols+1, rows, cols)
}

func csvError(name string, frames int, lines *csvLines, err error) error {
	var p *csv.ParseError
	parse := errors.As(err, &p)
	if lines.failed != nil && !(parse && p.Line < lines.failed.Line) { // else the decoder complains of the line that was cut
		lines.failed.Name = name
		return lines.failed
	}
	if parse {
		return &scenes.InputError{Name: name, Line: p.Line, Column: p.Column, Err: p.Err}
	}
	return scenes.InputErrorf(name, "reading the level table after %d frames: %w", frames, err)
}

// WriteCSV writes a valid scene as a level table with a heading, and before it remarks, a
// line of text each, that a reader passes over. Numbers are written in the fewest digits
// that read back to the same value; the scene's name is not written.
func WriteCSV(ctx context.Context, w io.Writer, s scenes.Scene, remarks ...string) error {
	if err := s.Validate(); err != nil {
		return fmt.Errorf("writing level table: %w", err)
	}
	out := bufio.NewWriter(w)
	var line []byte
	for _, r := range remarks {
		line = fmt.Appendf(line, "# %s\n", r)
	}
	line = append(line, csvDuration...)
	for r := range s.Rows {
		for c := range s.Cols {
			line = fmt.Appendf(line, ",r%dc%d", r+1, c+1)
		}
	}
	line = append(line, '\n')
	for i, f := range s.Frames {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("writing level table, after %d of %d frames: %w", i, len(s.Frames), err)
		}
		if _, err := out.Write(line); err != nil {
			return fmt.Errorf("writing level table: %w", err)
		}
		line = strconv.AppendFloat(line[:0], f.Duration, 'g', -1, 64)
		for _, v := range f.Levels {
			line = append(line, ',')
			line = strconv.AppendFloat(line, v, 'g', -1, 64)
		}
		line = append(line, '\n')
	}
	if _, err := out.Write(line); err != nil {
		return fmt.Errorf("writing level table: %w", err)
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("writing level table: %w", err)
	}
	return nil
}
