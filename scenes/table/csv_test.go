package table

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"reflect"
	"strings"
	"testing"

	"lodegrid/scenes"
)

func TestCSV(t *testing.T) {
	want := scenes.Scene{Name: "x.csv", Rows: 2, Cols: 2, Frames: []scenes.Frame{
		{Levels: []float64{0, 0.5, 1, -1}, Duration: 0.05},
		{Levels: []float64{1, 1, 1, 1}, Duration: 2},
	}}
	for name, text := range map[string]string{
		"plain":        "0.05,0,0.5,1,-1\n2,1,1,1,1\n",
		"heading":      "duration_s,r1c1,r1c2,r2c1,r2c2\n0.05,0,0.5,1,-1\n2,1,1,1,1\n",
		"comments":     "# a sign\n\n0.05,0,0.5,1,-1\n# half\n2,1,1,1,1",
		"byte order":   "\xef\xbb\xbfduration_s,a,b,c,d\r\n0.05,0,0.5,1,-1\r\n2,1,1,1,1\r\n",
		"spaces":       " 5e-2, 0 , .5,1 ,-1\n\"2\",1,\"1\",1,1\n",
		"heading case": "Duration_S,a,b,c,d\n0.05,0,0.5,1,-1\n2,1,1,1,1\n",
	} {
		got, err := ReadCSV(context.Background(), strings.NewReader(text), "x.csv", 2, 2, scenes.DefaultLimits())
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}

func TestCSVErrors(t *testing.T) {
	for name, test := range map[string]struct{ text, want string }{
		"empty":            {"", "x.csv: the level table holds no frame"},
		"heading alone":    {"duration_s,a,b,c,d\n", "holds no frame"},
		"ragged":           {"1,0,0,0,0\n1,0,0\n", "x.csv:2:5: 3 fields: want 5, the duration and 2 rows × 2 columns of levels"},
		"too long":         {"1,0,0,0,0,0\n", "x.csv:1:10: more than 5 fields: want 5, the duration and 2 rows × 2 columns of levels"},
		"not a number":     {"1,0,0,0,0\n1,0,0,x,0\n", `x.csv:2:7: frame 2, row 2, column 1: "x" is not a number`},
		"NaN":              {"1,0,NaN,0,0\n", "x.csv:1:5: frame 1, row 1, column 2: level NaN is not a number in −1…1"},
		"infinite":         {"1,0,0,0,-Inf\n", "x.csv:1:9: frame 1, row 2, column 2: level -Inf"},
		"out of range":     {"1,0,0,1.01,0\n", "x.csv:1:7: frame 1, row 2, column 1: level 1.01 is not a number in −1…1"},
		"empty field":      {"1,0,,0,0\n", "x.csv:1:5: frame 1, row 1, column 2: empty field"},
		"zero duration":    {"0,0,0,0,0\n", "x.csv:1:1: duration: duration 0 s is not a positive"},
		"endless":          {"+Inf,0,0,0,0\n", "x.csv:1:1: duration"},
		"other heading":    {"time,a,b,c,d\n1,0,0,0,0\n", `x.csv:1:1: duration: "time" is not a number; a heading begins with "duration_s"`},
		"semicolons":       {"1;0;0;0;0\n", `fields are separated by ";": want ","`},
		"tabs":             {"1\t0\t0\t0\t0\n", `separated by "\t"`},
		"wide line":        {"1,0,0,0," + strings.Repeat(" ", 5000) + "0\n", "x.csv:1:4417: a line of more than 4416 bytes: want 5 numbers of up to 64 bytes"},
		"wide comment":     {"#" + strings.Repeat(",", 5000) + "\n1,0,0,0,0\n", "x.csv:1:4417: a line of more than"},
		"first of two":     {"1,0,x,0,0\n1,0,0,0,0,0,0\n", `x.csv:1:5: frame 1, row 1, column 2: "x" is not`},
		"quote, then long": {"1,0,0\",0,0\n1,0,0,0,0,0,0\n", `x.csv:1:6: bare "`},
		"open quote":       {"1,0,0,\"0,0\n", "x.csv:1:12: extraneous"},
		"too long a play":  {"6e5,0,0,0,0\n6e5,0,0,0,0\n", "x.csv:2:1: the frames up to here last"},
	} {
		_, err := ReadCSV(context.Background(), strings.NewReader(test.text), "x.csv", 2, 2, scenes.DefaultLimits())
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: error %v, want it to say %q", name, err, test.want)
			continue
		}
		var in *scenes.InputError
		if !errors.As(err, &in) || in.Name != "x.csv" {
			t.Errorf("%s: error %T does not name the file", name, err)
		}
	}
	lim := scenes.DefaultLimits()
	lim.Frames = 1
	if _, err := ReadCSV(context.Background(), strings.NewReader("1,0\n1,0\n"), "x.csv", 1, 1, lim); err == nil || !strings.Contains(err.Error(), "x.csv:2:1: 2 frames, the limit is 1") {
		t.Errorf("frame limit: error %v", err)
	}
	lim = scenes.DefaultLimits()
	lim.Bytes = 6
	if _, err := ReadCSV(context.Background(), strings.NewReader("1,0\n1,0\n"), "x.csv", 1, 1, lim); err == nil || !strings.Contains(err.Error(), "after 1 frames: file is larger than the limit of 6 bytes") {
		t.Errorf("byte limit: error %v", err)
	}
}

// A line without an end is refused once it is longer than any line of the grid.
func TestCSVEndlessLine(t *testing.T) {
	for text, begin := range map[string]string{"0,": "", "0": "", "#": "", " ": "", "0;": "", "#,\"": "", "\"": "", "\n": "1,\"", ",": "1,\""} {
		in := &endless{text: text}
		_, err := ReadCSV(context.Background(), io.MultiReader(strings.NewReader(begin), in), "x.csv", 2, 2, scenes.DefaultLimits())
		if err == nil || !strings.Contains(err.Error(), ": more than 5 fields") && !strings.Contains(err.Error(), ": a line of more than 4416 bytes") {
			t.Errorf("%q without end: error %v", text, err)
		}
		if in.read > 100<<10 {
			t.Errorf("%q without end: %d bytes read", text, in.read)
		}
	}
}

// endless repeats a text for ever.
type endless struct {
	text string
	read int
}

func (e *endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = e.text[(e.read+i)%len(e.text)]
	}
	e.read += len(p)
	return len(p), nil
}

func TestWriteCSVRefusesInvalid(t *testing.T) {
	s := scenes.Scene{Name: "bad", Rows: 1, Cols: 1, Frames: []scenes.Frame{{Levels: []float64{math.NaN()}, Duration: 1}}}
	var out bytes.Buffer
	if err := WriteCSV(context.Background(), &out, s); err == nil || out.Len() > 0 {
		t.Errorf("error %v after %d bytes", err, out.Len())
	}
}

func FuzzCSV(f *testing.F) {
	f.Add("duration_s,r1c1,r1c2,r2c1,r2c2\n0.05,0,0.5,1,-1\n2,1,1,1,1\n")
	f.Add("# x\n\xef\xbb\xbf1,0,0,0,\"0\"\n")
	f.Add("# 5\" pane,,,,,,\n1,0,0,0,\"0\n0\"\n1,0,0,0,0,0,0,0\n")
	f.Add("1,NaN,0x1p-2,1e-400,0\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ReadCSV(context.Background(), strings.NewReader(text), "fuzz.csv", 2, 2, fuzzLimits)
		if err != nil {
			return
		}
		var out bytes.Buffer
		if err := WriteCSV(context.Background(), &out, s); err != nil {
			t.Fatalf("accepted a scene that cannot be written: %v", err)
		}
		again, err := ReadCSV(context.Background(), &out, "fuzz.csv", 2, 2, fuzzLimits)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(s, again) {
			t.Errorf("%v became %v", s, again)
		}
	})
}

// Remarks stand before the heading, and the table reads back without them.
func TestCSVRemarks(t *testing.T) {
	want := scenes.Scene{Name: "x.csv", Rows: 1, Cols: 2, Frames: []scenes.Frame{{Levels: []float64{0, 0.5}, Duration: 0.05}}}
	var out bytes.Buffer
	if err := WriteCSV(t.Context(), &out, want, "at most 2, \"both\"", "second"); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(out.String(), "# at most 2, \"both\"\n# second\nduration_s,") {
		t.Errorf("written: %q", out.String())
	}
	got, err := ReadCSV(t.Context(), &out, "x.csv", 1, 2, scenes.DefaultLimits())
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("read back: %v, %v", got, err)
	}
}
