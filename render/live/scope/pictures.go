package scope

import (
	"bytes"
	"context"
	"strings"

	"lodegrid/scenes"
	"lodegrid/scenes/choreograph"
	"lodegrid/scenes/table"
	"lodegrid/scenes/verdict"
)

// Pictures are a scene as it is played. Where its drops are carried, its frames are other
// ones than those that are to be seen.
type Pictures struct {
	scenes.Scene
	Wanted *scenes.Scene // what is to be seen; nil for the scene itself
	Plan   verdict.Plan  // makes them for another design; nil where that cannot be
	// Start brings drops out of the pool to where the scene begins; nil where none begin there.
	Start *choreograph.Start
}

// Tables are the frames and what is to be seen as level tables, wanted empty where that is the
// same. The name and the plan are not in them.
func (p Pictures) Tables(ctx context.Context) (levels, wanted []byte, err error) {
	var l, w bytes.Buffer
	err = table.WriteCSV(ctx, &l, p.Scene)
	if err == nil && p.Wanted != nil {
		err = table.WriteCSV(ctx, &w, *p.Wanted)
	}
	return l.Bytes(), w.Bytes(), err
}

// ReadPictures is the inverse of Tables.
func ReadPictures(ctx context.Context, name, levels, wanted string, rows, cols int) (p Pictures, err error) {
	read := func(what, text string) (scenes.Scene, error) {
		s, err := table.ReadCSV(ctx, strings.NewReader(text), what, rows, cols, scenes.DefaultLimits())
		s.Name = name
		return s, err
	}
	if p.Scene, err = read("levels.txt", levels); err == nil && wanted != "" {
		p.Wanted = &scenes.Scene{}
		*p.Wanted, err = read("wanted.txt", wanted)
	}
	return p, err
}
