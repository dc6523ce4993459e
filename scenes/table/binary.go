package table

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash"
	"hash/crc32"
	"io"
	"math"

	"lodegrid/array/extent"
	"lodegrid/scenes"
)

// The binary frame table, version 5. All numbers are little-endian; sizes in
// bytes.
//
//	 8  mark: 0x89 'L' 'V' 'L' 'T' CR LF 0x1A
//	 2  version: 5
//	 2  bits per level: 8 or 16
//	 4  rows
//	 4  columns
//	 4  frames, at least 1
//	 2  drive mode: 0 direct, 1 stagger, 2 scan, 3 kick
//	 2  1 where a level below 0 reverses the current, else 0
//	 4  PWM period in nanoseconds
//	 2  duty at level ±1, in 1/65535; in mode kick that of the kick
//	 2  duty after a kick at level ±1, in 1/65535
//	 4  kick when a pixel comes on or reverses, µs; 0 outside mode kick
//	 4  one pass over all rows, µs; 0 outside mode scan
//	 4  most pixels at full level at once
//	 4  longest time that a pixel may be fully on, µs; 0xffffffff for ever
//	 4  longest time without a sign of life until the rail is off, µs
//	 4  most pixels kicked at once; 0 outside mode kick
//	 4  turns of a scan, row r being on in turn r mod turns; 0 outside mode scan
//	 4  coils in series on an output, at least 1: as many neighbours of a row have one level
//	 4  CRC-32 of the 68 bytes before it
//	then per frame
//	 4  duration in microseconds, at least 1
//	 1  kind
//	    0: rows × columns levels follow, row by row from the top
//	    1: nothing follows; the levels are those of the frame before
//	    2: 2 bytes, a count, then as many pairs of a pixel's index (2 bytes,
//	       row × columns + column) and its level; the other pixels keep theirs;
//	       not written for a grid of more pixels than an index can count
//	then
//	 4  CRC-32 of everything before it
//
// A level is a signed integer of −127…127 or −32767…32767, for −1…1. The first
// frame is of kind 0. CRC-32 is that of IEEE 802.3. Nothing follows the last CRC.
const (
	tableMark    = "\x89LVLT\r\n\x1a"
	tableVersion = 5
	tableGrid    = 24 // bytes of the header before the drive
	tableHeader  = 68 // without its CRC

	tableAll     = 0
	tableSame    = 1
	tableChanged = 2
)

// IsBinary tells whether a file that begins so is a binary frame table.
func IsBinary(head []byte) bool { return bytes.HasPrefix(head, []byte(tableMark)) }

// tableScale returns the integer that stands for level 1.
func tableScale(bits int) float64 { return float64(int(1)<<(bits-1) - 1) }

// WriteBinary writes a valid scene as a binary frame table with 8 or 16 bits per
// level, headed by how it is driven; the layout is in binary.go. Levels are rounded by at most half a step, 1/254
// or 1/65534, durations to whole microseconds. The scene's name is not written.
func WriteBinary(ctx context.Context, w io.Writer, s scenes.Scene, bits int, d Drive) error {
	if err := s.Validate(); err != nil {
		return fmt.Errorf("writing frame table: %w", err)
	}
	if bits != 8 && bits != 16 {
		return fmt.Errorf("writing frame table: %d bits per level, want 8 or 16", bits)
	}
	durations := make([]uint32, len(s.Frames)) // µs, all checked before anything is written
	for i, f := range s.Frames {
		us := math.Round(f.Duration * 1e6)
		if us < 1 || us > math.MaxUint32 {
			return fmt.Errorf("writing frame table: frame %d lasts %g s, want 1 µs…%g s", i+1, f.Duration, math.MaxUint32/1e6)
		}
		durations[i] = uint32(us)
	}
	out := bufio.NewWriter(w)
	sum := crc32.NewIEEE()
	put := func(b []byte) error {
		_, _ = sum.Write(b) // a hash does not fail
		if _, err := out.Write(b); err != nil {
			return fmt.Errorf("writing frame table: %w", err)
		}
		return nil
	}

	b := append([]byte(nil), tableMark...)
	b = binary.LittleEndian.AppendUint16(b, tableVersion)
	b = binary.LittleEndian.AppendUint16(b, uint16(bits))
	b = binary.LittleEndian.AppendUint32(b, uint32(s.Rows))
	b = binary.LittleEndian.AppendUint32(b, uint32(s.Cols))
	b = binary.LittleEndian.AppendUint32(b, uint32(len(s.Frames)))
	b, err := d.append(b)
	if err != nil {
		return fmt.Errorf("writing frame table: %w", err)
	}
	b = binary.LittleEndian.AppendUint32(b, crc32.ChecksumIEEE(b))
	if err := put(b); err != nil {
		return err
	}

	size := s.Rows * s.Cols
	now, before := make([]int16, size), make([]int16, size)
	scale := tableScale(bits)
	for i, f := range s.Frames {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("writing frame table, after %d of %d frames: %w", i, len(s.Frames), err)
		}
		changes := 0
		for p, v := range f.Levels {
			now[p] = int16(math.Round(v * scale))
			if i > 0 && now[p] != before[p] {
				changes++
			}
		}
		b = binary.LittleEndian.AppendUint32(b[:0], durations[i])
		switch {
		case i > 0 && changes == 0:
			b = append(b, tableSame)
		case i > 0 && size <= 1<<16 && 2+changes*(2+bits/8) < size*bits/8:
			b = append(b, tableChanged)
			b = binary.LittleEndian.AppendUint16(b, uint16(changes))
			for p, v := range now {
				if v != before[p] {
					b = binary.LittleEndian.AppendUint16(b, uint16(p))
					b = appendTableLevel(b, v, bits)
				}
			}
		default:
			b = append(b, tableAll)
			for _, v := range now {
				b = appendTableLevel(b, v, bits)
			}
		}
		if err := put(b); err != nil {
			return err
		}
		now, before = before, now
	}
	if err := put(binary.LittleEndian.AppendUint32(b[:0], sum.Sum32())); err != nil {
		return err
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("writing frame table: %w", err)
	}
	return nil
}

func appendTableLevel(b []byte, v int16, bits int) []byte {
	if bits == 8 {
		return append(b, byte(int8(v)))
	}
	return binary.LittleEndian.AppendUint16(b, uint16(v))
}

// ReadBinary reads a binary frame table, whose layout is in binary.go. The grid is
// the file's own.
func ReadBinary(ctx context.Context, r io.Reader, name string, lim scenes.Limits) (scenes.Scene, error) {
	t := tableReader{in: bufio.NewReader(lim.Reader(ctx, r)), sum: crc32.NewIEEE()}
	s, err := t.read(lim)
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return scenes.Scene{}, scenes.InputErrorf(name, "the frame table ends early, after %d bytes with %d of %d frames whole: cut off", t.at, len(s.Frames), t.frames)
	case err != nil:
		return scenes.Scene{}, scenes.InputErrorf(name, "frame table: %w", err)
	}
	s.Name = name
	return s, nil
}

type tableReader struct {
	in     *bufio.Reader
	sum    hash.Hash32
	at     int64
	frames uint32
	drive  Drive
	buf    []byte
}

// take returns the next n bytes, valid until the next call.
func (t *tableReader) take(n int) ([]byte, error) {
	if cap(t.buf) < n {
		t.buf = make([]byte, n)
	}
	b := t.buf[:n]
	m, err := io.ReadFull(t.in, b)
	t.at += int64(m)
	if err != nil {
		return nil, err
	}
	_, _ = t.sum.Write(b) // a hash does not fail
	return b, nil
}

// checksum reads a CRC and compares it with that of everything before it.
func (t *tableReader) checksum(what string) error {
	want := t.sum.Sum32()
	b, err := t.take(4)
	if err != nil {
		return err
	}
	if got := binary.LittleEndian.Uint32(b); got != want {
		return fmt.Errorf("%s is damaged: its CRC-32 is %08x, the file says %08x", what, want, got)
	}
	return nil
}

func (t *tableReader) read(lim scenes.Limits) (scenes.Scene, error) {
	var s scenes.Scene
	b, err := t.take(tableHeader)
	if err != nil {
		return s, err
	}
	if string(b[:8]) != tableMark {
		return s, fmt.Errorf("not a frame table: it begins with %q", b[:8])
	}
	version, bits := binary.LittleEndian.Uint16(b[8:]), int(binary.LittleEndian.Uint16(b[10:]))
	rows, cols, frames := binary.LittleEndian.Uint32(b[12:]), binary.LittleEndian.Uint32(b[16:]), binary.LittleEndian.Uint32(b[20:])
	if version != tableVersion {
		return s, fmt.Errorf("version %d, want %d", version, tableVersion)
	}
	if t.drive, err = parseDrive(b[tableGrid:]); err != nil {
		return s, err
	}
	if err := t.checksum("the header"); err != nil {
		return s, err
	}
	if bits != 8 && bits != 16 {
		return s, fmt.Errorf("%d bits per level, want 8 or 16", bits)
	}
	if int64(rows) > math.MaxInt32 || int64(cols) > math.MaxInt32 || int64(frames) > math.MaxInt32 {
		return s, fmt.Errorf("%d frames of %d rows × %d columns: too large", frames, rows, cols)
	}
	if err := extent.Check(int(rows), int(cols)); err != nil {
		return s, err
	}
	if frames == 0 {
		return s, errors.New("no frames")
	}
	if err := lim.CheckFrames(int(frames), int(rows*cols)); err != nil {
		return s, err
	}
	s.Rows, s.Cols, t.frames = int(rows), int(cols), frames
	var total float64
	for len(s.Frames) < int(frames) {
		f, err := t.frame(s, bits)
		if err != nil {
			if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
				return s, err
			}
			return s, fmt.Errorf("frame %d of %d: %w", len(s.Frames)+1, frames, err)
		}
		if total += f.Duration; total > lim.Duration {
			return s, fmt.Errorf("frame %d of %d: the frames up to here last %g s, the limit is %g s", len(s.Frames)+1, frames, total, lim.Duration)
		}
		s.Frames = append(s.Frames, f)
	}
	if err := t.checksum("the file"); err != nil {
		return s, err
	}
	if _, err := t.in.ReadByte(); err == nil {
		return s, fmt.Errorf("data after its end, at byte %d", t.at)
	} else if err != io.EOF {
		return s, err
	}
	return s, nil
}

// frame reads the frame that follows those of s.
func (t *tableReader) frame(s scenes.Scene, bits int) (scenes.Frame, error) {
	var f scenes.Frame
	b, err := t.take(5)
	if err != nil {
		return f, err
	}
	us, kind := binary.LittleEndian.Uint32(b), b[4]
	if us == 0 {
		return f, errors.New("a duration of 0")
	}
	if kind != tableAll && len(s.Frames) == 0 {
		return f, fmt.Errorf("kind %d, want %d for the first frame", kind, tableAll)
	}
	f.Duration = float64(us) / 1e6
	size, wide, scale := s.Rows*s.Cols, bits/8, tableScale(bits)
	switch kind {
	case tableAll:
		if b, err = t.take(size * wide); err != nil {
			return f, err
		}
		f.Levels = make([]float64, size)
		for p := range f.Levels {
			if f.Levels[p], err = tableLevel(b[p*wide:], bits, scale); err != nil {
				return f, fmt.Errorf("%s: %w", extent.PlaceOf(p, s.Cols), err)
			}
		}
	case tableSame, tableChanged:
		var pairs []byte
		if kind == tableChanged {
			if b, err = t.take(2); err != nil {
				return f, err
			}
			if pairs, err = t.take(int(binary.LittleEndian.Uint16(b)) * (2 + wide)); err != nil {
				return f, err
			}
		}
		f.Levels = append([]float64(nil), s.Frames[len(s.Frames)-1].Levels...)
		for ; len(pairs) > 0; pairs = pairs[2+wide:] {
			p := int(binary.LittleEndian.Uint16(pairs))
			if p >= size {
				return f, fmt.Errorf("a change of pixel %d, the grid has %d", p, size)
			}
			if f.Levels[p], err = tableLevel(pairs[2:], bits, scale); err != nil {
				return f, fmt.Errorf("%s: %w", extent.PlaceOf(p, s.Cols), err)
			}
		}
	default:
		return f, fmt.Errorf("kind %d, want 0, 1 or 2", kind)
	}
	return f, nil
}

func tableLevel(b []byte, bits int, scale float64) (float64, error) {
	v := float64(int8(b[0]))
	if bits == 16 {
		v = float64(int16(binary.LittleEndian.Uint16(b)))
	}
	if v < -scale {
		return 0, fmt.Errorf("level %g, want −%g…%g", v, scale, scale)
	}
	return v / scale, nil
}
