package table

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash/crc32"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes"
)

// fuzzLimits bound what a fuzz test spends on one input.
var fuzzLimits = scenes.Limits{Bytes: 1 << 16, Frames: 100, Levels: 6400, Duration: 1e6}

var testDrive = Drive{Mode: design.DriveKick, Reverses: true, Frequency: 20e3, MaxDuty: 1, HoldDuty: 0.2, KickTime: 0.05, InSeries: 2, MostLit: 40, MostKicked: 7, LongestOn: 0.25, Watchdog: 1}

func randomScene(rows, cols, frames int, seed uint64) scenes.Scene {
	rng := rand.New(rand.NewPCG(seed, 0))
	s := scenes.New("random", rows, cols, frames, 0)
	for i, f := range s.Frames {
		s.Frames[i].Duration = float64(1+rng.IntN(1e6)) / 1e6
		if i > 0 {
			copy(f.Levels, s.Frames[i-1].Levels)
		}
		// All change, a few change, none changes.
		switch i % 3 {
		case 0:
			for p := range f.Levels {
				f.Levels[p] = 2*rng.Float64() - 1
			}
		case 1:
			f.Levels[rng.IntN(len(f.Levels))] = 2*rng.Float64() - 1
		}
	}
	return s
}

func TestTableRoundTrip(t *testing.T) {
	s := randomScene(10, 16, 300, 3)
	s.Frames[0].Levels[0], s.Frames[0].Levels[1] = 1, -1
	for bits, half := range map[int]float64{8: 1.0 / 254, 16: 1.0 / 65534} {
		var out bytes.Buffer
		if err := WriteBinary(context.Background(), &out, s, bits, testDrive); err != nil {
			t.Fatal(err)
		}
		first := append([]byte(nil), out.Bytes()...)
		got, err := ReadBinary(context.Background(), &out, "random", scenes.DefaultLimits())
		if err != nil {
			t.Fatal(err)
		}
		worst := 0.0
		for i, f := range got.Frames {
			if math.Abs(f.Duration-s.Frames[i].Duration) > 1e-12 {
				t.Fatalf("frame %d lasts %g s, want %g s", i, f.Duration, s.Frames[i].Duration)
			}
			for p, v := range f.Levels {
				worst = math.Max(worst, math.Abs(v-s.Frames[i].Levels[p]))
			}
		}
		t.Logf("%d bits: %d bytes for %d frames, greatest change of a level %.3g", bits, len(first), len(s.Frames), worst)
		if worst > half*(1+1e-9) {
			t.Errorf("%d bits: a level changed by %g, want at most %g", bits, worst, half)
		}
		if got.Frames[0].Levels[0] != 1 || got.Frames[0].Levels[1] != -1 {
			t.Errorf("%d bits: full drive became %v", bits, got.Frames[0].Levels[:2])
		}
		var again bytes.Buffer
		if err := WriteBinary(context.Background(), &again, got, bits, testDrive); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(first, again.Bytes()) {
			t.Errorf("%d bits: writing what was read gives another file", bits)
		}
	}
}

// TestTableLayout holds the bytes of a small file, worked out by hand from the
// layout in binary.go; the CRCs are zlib's (Python 3.11, zlib.crc32).
func TestTableLayout(t *testing.T) {
	s := scenes.Scene{Name: "x", Rows: 1, Cols: 4, Frames: []scenes.Frame{
		{Levels: []float64{0, 1, -1, 0.5}, Duration: 0.05},
		{Levels: []float64{0, 1, -1, 0.5}, Duration: 0.1},
		{Levels: []float64{0, 1, 1, 0.5}, Duration: 1},
	}}
	want := strings.Join([]string{
		"894c564c540d0a1a", "0500", "1000", "01000000", "04000000", "03000000",
		"0300", "0100", "50c30000", "ffff", "3333", "50c30000", "00000000", "28000000", "90d00300", "40420f00", "07000000", "00000000", "02000000", "f05c0190",
		"50c30000", "00", "0000", "ff7f", "0180", "0040",
		"a0860100", "01",
		"40420f00", "02", "0100", "0200", "ff7f",
		"d9131c96",
	}, "")
	var out bytes.Buffer
	if err := WriteBinary(context.Background(), &out, s, 16, testDrive); err != nil {
		t.Fatal(err)
	}
	if got := hex.EncodeToString(out.Bytes()); got != want {
		t.Errorf("wrote %s\nwant  %s", got, want)
	}
}

// The drive comes back as it went, to what its numbers resolve.
func TestTableKeepsTheDrive(t *testing.T) {
	for _, d := range []Drive{testDrive,
		{Mode: design.DriveScan, Frequency: 217.3, MaxDuty: 0.09, ScanTime: 0.02, Turns: 4, MostLit: 3, LongestOn: math.Inf(1), Watchdog: 0.0125},
		{Mode: design.DriveDirect, Reverses: true, Frequency: 1e7, MaxDuty: 1, MostLit: 1 << 20, LongestOn: 1e-6, Watchdog: 1}} {
		var out bytes.Buffer
		if err := WriteBinary(context.Background(), &out, randomScene(2, 3, 5, 1), 8, d); err != nil {
			t.Fatal(err)
		}
		r := tableReader{in: bufio.NewReader(&out), sum: crc32.NewIEEE()}
		if _, err := r.read(scenes.DefaultLimits()); err != nil {
			t.Fatal(err)
		}
		got := r.drive
		for _, c := range [][3]float64{{got.Frequency, d.Frequency, 1e-6 * d.Frequency}, {got.MaxDuty, d.MaxDuty, 1e-5}, {got.HoldDuty, d.HoldDuty, 1e-5},
			{got.KickTime, d.KickTime, 1e-6}, {got.ScanTime, d.ScanTime, 1e-6}, {got.Watchdog, d.Watchdog, 1e-6}} {
			if !(math.Abs(c[0]-c[1]) <= c[2]) {
				t.Errorf("%+v came back as %+v", d, got)
			}
		}
		if got.Mode != d.Mode || got.Reverses != d.Reverses || got.MostLit != d.MostLit || got.MostKicked != d.MostKicked || got.Turns != d.Turns || got.InSeries != max(d.InSeries, 1) || got.LongestOn != d.LongestOn {
			t.Errorf("%+v came back as %+v", d, got)
		}
	}
}

// sealed puts right CRCs into a table that was tampered with.
func sealed(b []byte) []byte {
	b = append([]byte(nil), b...)
	if len(b) < tableHeader+8 {
		return b
	}
	binary.LittleEndian.PutUint32(b[tableHeader:], crc32.ChecksumIEEE(b[:tableHeader]))
	binary.LittleEndian.PutUint32(b[len(b)-4:], crc32.ChecksumIEEE(b[:len(b)-4]))
	return b
}

func TestTableErrors(t *testing.T) {
	var out bytes.Buffer
	if err := WriteBinary(context.Background(), &out, randomScene(2, 3, 5, 1), 16, testDrive); err != nil {
		t.Fatal(err)
	}
	whole := out.Bytes()
	with := func(at int, b ...byte) []byte {
		c := append([]byte(nil), whole...)
		copy(c[at:], b)
		return sealed(c)
	}
	for name, test := range map[string]struct {
		data []byte
		want string
	}{
		"empty":             {nil, "x.tab: the frame table ends early, after 0 bytes"},
		"another file":      {bytes.Repeat([]byte("GIF89a.."), 10), `not a frame table: it begins with "GIF89a.."`},
		"version":           {with(8, 1), "version 1, want 5"},
		"bits":              {with(10, 12), "12 bits per level, want 8 or 16"},
		"no rows":           {with(12, 0), "grid of 0 rows × 3 columns"},
		"huge grid":         {with(12, 255, 255, 255, 127, 255, 255, 255, 127), "1 to 512 pixels along a side are possible"},
		"overflowing grid":  {with(12, 255, 255, 255, 255, 255, 255, 255, 255), "too large"},
		"no frames":         {with(20, 0), "no frames"},
		"claims many":       {with(20, 255, 255, 15), "1048575 frames, the limit is 1000000"},
		"claims some more":  {with(20, 200), "with 5 of 200 frames whole: cut off"},
		"header damaged":    {append([]byte(tableMark), make([]byte, 68)...), "version 0"},
		"header CRC":        {append(append([]byte(nil), whole[:68]...), make([]byte, 40)...), "the header is damaged"},
		"drive mode":        {with(24, 9), "drive mode 9"},
		"turns":             {with(60, 2), "2 turns in mode kick, want 1 or more in mode scan alone"},
		"no coils":          {with(64, 0), "0 coils in series"},
		"duration 0":        {with(72, 0, 0, 0, 0), "frame 1 of 5: a duration of 0"},
		"first not whole":   {with(76, 1), "frame 1 of 5: kind 1, want 0 for the first frame"},
		"unknown kind":      {with(76, 9), "frame 1 of 5: kind 9"},
		"level below range": {with(77, 0, 0x80), "frame 1 of 5: row 1, column 1: level -32768, want −32767…32767"},
		"data after it":     {append(append([]byte(nil), whole...), 0), "data after its end"},
	} {
		_, err := ReadBinary(context.Background(), bytes.NewReader(test.data), "x.tab", scenes.DefaultLimits())
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: error %v, want it to say %q", name, err, test.want)
		}
	}
	for n := range whole {
		if _, err := ReadBinary(context.Background(), bytes.NewReader(whole[:n]), "x.tab", scenes.DefaultLimits()); err == nil || !strings.Contains(err.Error(), "cut off") {
			t.Errorf("first %d of %d bytes: error %v", n, len(whole), err)
		}
	}
	// A change of the pixel after the last, which is the sixth.
	few := randomScene(2, 3, 1, 1)
	few.Frames = append(few.Frames, scenes.Frame{Duration: 1, Levels: slices.Clone(few.Frames[0].Levels)})
	few.Frames[1].Levels[5] = -few.Frames[1].Levels[5]
	out.Reset()
	if err := WriteBinary(context.Background(), &out, few, 16, testDrive); err != nil {
		t.Fatal(err)
	}
	c := bytes.Clone(out.Bytes())
	c[len(c)-8] = 6 // of a pixel, a level and the CRC at the end
	if _, err := ReadBinary(context.Background(), bytes.NewReader(sealed(c)), "x.tab", scenes.DefaultLimits()); err == nil || !strings.Contains(err.Error(), "a change of pixel 6, the grid has 6") {
		t.Errorf("a change beyond the last pixel: error %v", err)
	}
	// A changed bit anywhere is noticed.
	for at := range whole {
		c := append([]byte(nil), whole...)
		c[at] ^= 1 << (at % 8)
		if _, err := ReadBinary(context.Background(), bytes.NewReader(c), "x.tab", scenes.DefaultLimits()); err == nil {
			t.Errorf("a flipped bit in byte %d went unnoticed", at)
		}
	}
}

func TestWriteBinaryRefuses(t *testing.T) {
	long := scenes.Scene{Name: "long", Rows: 1, Cols: 1, Frames: []scenes.Frame{{Levels: []float64{0}, Duration: 1}, {Levels: []float64{0}, Duration: 5000}}}
	for name, err := range map[string]error{
		"bits":          WriteBinary(context.Background(), &bytes.Buffer{}, randomScene(1, 1, 1, 1), 12, testDrive),
		"long frame":    WriteBinary(context.Background(), &bytes.Buffer{}, long, 8, testDrive),
		"no mode":       WriteBinary(context.Background(), &bytes.Buffer{}, randomScene(1, 1, 1, 1), 8, Drive{}),
		"a duty over 1": WriteBinary(context.Background(), &bytes.Buffer{}, randomScene(1, 1, 1, 1), 8, Drive{Mode: design.DriveDirect, Frequency: 1e4, MaxDuty: 1.1}),
		"invalid":       WriteBinary(context.Background(), &bytes.Buffer{}, scenes.Scene{}, 8, testDrive),
	} {
		if err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
	var out bytes.Buffer
	if err := WriteBinary(context.Background(), &out, long, 8, testDrive); err == nil || out.Len() > 0 {
		t.Errorf("wrote %d bytes of a scene it refuses (%v)", out.Len(), err)
	}
}

// TestRoundTripCSVToTable: a scene saved as one table and read back from the
// other differs by half a step of the frame table at most.
func TestRoundTripCSVToTable(t *testing.T) {
	s := randomScene(10, 16, 30, 5)
	var csv, frames bytes.Buffer
	if err := WriteCSV(context.Background(), &csv, s); err != nil {
		t.Fatal(err)
	}
	a, err := ReadCSV(context.Background(), &csv, "tide", 10, 16, scenes.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	if err := WriteBinary(context.Background(), &frames, a, 16, testDrive); err != nil {
		t.Fatal(err)
	}
	b, err := ReadBinary(context.Background(), &frames, "tide", scenes.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	for i := range s.Frames {
		for p, v := range s.Frames[i].Levels {
			if a.Frames[i].Levels[p] != v || math.Abs(b.Frames[i].Levels[p]-v) > 1.0/65534 {
				t.Fatalf("frame %d, pixel %d: %g became %g and %g", i, p, v, a.Frames[i].Levels[p], b.Frames[i].Levels[p])
			}
		}
	}
}

func FuzzTable(f *testing.F) {
	for _, bits := range []int{8, 16} {
		var out bytes.Buffer
		if err := WriteBinary(context.Background(), &out, randomScene(3, 4, 7, 2), bits, testDrive); err != nil {
			f.Fatal(err)
		}
		f.Add(out.Bytes())
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		lim := fuzzLimits
		// The CRCs are mended, so that what lies behind them is reached.
		s, err := ReadBinary(context.Background(), bytes.NewReader(sealed(data)), "fuzz", lim)
		if err != nil {
			return
		}
		if err := s.Validate(); err != nil {
			t.Fatalf("accepted an invalid scene: %v", err)
		}
		var out bytes.Buffer
		if err := WriteBinary(context.Background(), &out, s, 16, testDrive); err != nil {
			t.Fatal(err)
		}
		once, err := ReadBinary(context.Background(), bytes.NewReader(out.Bytes()), "fuzz", lim)
		if err != nil {
			t.Fatal(err)
		}
		var again bytes.Buffer
		if err := WriteBinary(context.Background(), &again, once, 16, testDrive); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(out.Bytes(), again.Bytes()) {
			t.Error("writing, reading and writing again gives another file")
		}
		if len(once.Frames) != len(s.Frames) || !reflect.DeepEqual(once.Frames[0].Duration, s.Frames[0].Duration) {
			t.Error("the round trip lost frames or time")
		}
	})
}

func BenchmarkTable(b *testing.B) {
	s := randomScene(10, 16, 3000, 1)
	var out, csv bytes.Buffer
	if err := WriteBinary(context.Background(), &out, s, 16, testDrive); err != nil {
		b.Fatal(err)
	}
	if err := WriteCSV(context.Background(), &csv, s); err != nil {
		b.Fatal(err)
	}
	b.Run("frame table", func(b *testing.B) {
		b.ReportMetric(float64(out.Len()), "bytes")
		for b.Loop() {
			if _, err := ReadBinary(context.Background(), bytes.NewReader(out.Bytes()), "x", scenes.DefaultLimits()); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("level table", func(b *testing.B) {
		b.ReportMetric(float64(csv.Len()), "bytes")
		for b.Loop() {
			if _, err := ReadCSV(context.Background(), bytes.NewReader(csv.Bytes()), "x", 10, 16, scenes.DefaultLimits()); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// The C header is for the tables that are written.
func TestReaderIsOfThisVersion(t *testing.T) {
	for _, want := range []string{fmt.Sprintf("of lodegrid, version %d,", tableVersion), fmt.Sprintf("lode_u16(p + 8) != %d)", tableVersion), fmt.Sprintf("lode_crc(p, %d) != lode_u32(p + %d)", tableHeader, tableHeader)} {
		if !bytes.Contains(Reader, []byte(want)) {
			t.Errorf("%q is missing", want)
		}
	}
}
