package drops

import (
	"reflect"
	"slices"
)

// Moment is a pane's drops and pool at one time. A pane that goes on from it looks at once which
// drops leave the pool and takes every pull anew.
type Moment struct {
	parts  []part
	joints []joint
	pool   int
}

// Bytes is the memory that a moment takes.
func (m *Moment) Bytes() int {
	return len(m.parts)*int(reflect.TypeFor[part]().Size()) + len(m.joints)*int(reflect.TypeFor[joint]().Size())
}

// Moment keeps how the pane is now.
func (d *Pane) Moment() *Moment {
	return &Moment{slices.Clone(d.parts), slices.Clone(d.joints), d.pool}
}

// Resume puts the pane, or another as large, back to how it was; of a Moment's zero value, to a
// pane without fluid.
func (d *Pane) Resume(m *Moment) {
	d.parts, d.joints, d.pool = append(d.parts[:0], m.parts...), append(d.joints[:0], m.joints...), m.pool
	d.paired, d.was = false, nil
}
