package compose

import (
	"context"
	"io"
	"strings"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/field/peak"
	"lodegrid/scenes"
	"lodegrid/scenes/read"
	"lodegrid/scenes/table"
)

// A million frames of one pixel, in every file that holds frames.
func TestMillionFrames(t *testing.T) {
	const head = "GIF89a\x01\x00\x01\x00\x80\x00\x00\x00\x00\x00\xff\xff\xff"
	const frame = "!\xf9\x04\x00\x01\x00\x00\x00,\x00\x00\x00\x00\x01\x00\x01\x00\x00\x02\x02L\x01\x00"
	for name, write := range map[string]func(w io.Writer){
		"a.gif": func(w io.Writer) {
			_, _ = io.WriteString(w, head)
			for range 1_000_000 {
				_, _ = io.WriteString(w, frame)
			}
			_, _ = io.WriteString(w, ";")
		},
		"a.csv": func(w io.Writer) {
			for range 1_000_000 / 1000 {
				_, _ = io.WriteString(w, strings.Repeat("0.1,1\n", 1000))
			}
		},
		"a.lvt": func(w io.Writer) {
			s := scenes.New("", 1, 1, 1_000_000, 0.1)
			_ = table.WriteBinary(context.Background(), w, s, 8, table.DriveOf(trial.Lit()))
		},
		"a.toml": func(w io.Writer) {
			_, _ = io.WriteString(w, "[[clip]]\nkind = \"checker\"\nduration = \"1000 s\"\nperiod = \"2 ms\"\n")
		},
	} {
		t.Run(name, func(t *testing.T) {
			path := peak.File(t, name, write)
			peak.Below(t, 200<<20, func() {
				s, err := Open(context.Background(), path, 1, 1, read.DefaultOptions())
				if err != nil || len(s.Frames) != 1_000_000 {
					t.Errorf("%d frames, %v", len(s.Frames), err)
				}
			})
		})
	}
}
