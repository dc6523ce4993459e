package scope

import (
	"math"
	"slices"

	"lodegrid/array/design"
)

// canvas holds the levels painted by hand, NaN where the scene decides, and what
// can be undone.
type canvas struct {
	levels     []float64
	before     []float64 // as it was when the stroke began, nil between strokes
	undo, redo [][]float64
}

// maxUndo is how many strokes can be taken back.
const maxUndo = 200

func newCanvas(pixels int) canvas {
	v := canvas{levels: make([]float64, pixels)}
	for i := range v.levels {
		v.levels[i] = math.NaN()
	}
	return v
}

// begin keeps the state to go back to.
func (v *canvas) begin() {
	if v.before == nil {
		v.before = slices.Clone(v.levels)
	}
}

// end files the stroke, if it changed anything.
func (v *canvas) end() {
	if v.before != nil && !same(v.before, v.levels) {
		if len(v.undo) == maxUndo {
			v.undo = slices.Delete(v.undo, 0, 1)
		}
		v.undo = append(v.undo, v.before)
		v.redo = nil
	}
	v.before = nil
}

// back moves the last state from one pile to the other.
func (v *canvas) back(from, to *[][]float64) bool {
	v.end()
	n := len(*from)
	if n == 0 {
		return false
	}
	*to = append(*to, slices.Clone(v.levels))
	copy(v.levels, (*from)[n-1])
	*from = (*from)[:n-1]
	return true
}

// same compares levels, NaN being equal to NaN.
func same(a, b []float64) bool {
	for i, x := range a {
		if x != b[i] && (x == x || b[i] == b[i]) {
			return false
		}
	}
	return true
}

// Bipolar reports whether the driver can reverse the current.
func (c *View) Bipolar() bool { return c.grid.Design.Drive.Bridge == design.BridgeFull }

// BeginStroke starts what Undo takes back as a whole.
func (c *Scope) BeginStroke() { c.canvas.begin() }

// EndStroke ends a stroke.
func (c *Scope) EndStroke() { c.canvas.end() }

// DropStroke ends a stroke and takes back what it painted.
func (c *Scope) DropStroke() {
	if c.canvas.before != nil {
		copy(c.canvas.levels, c.canvas.before)
		c.canvas.before = nil
		c.remix()
	}
}

// Paint sets every pixel, and what is in series with it, on the way from one to another by hand to a level, or with
// NaN gives them back to the scene. A negative level is taken as 0 where the driver
// cannot reverse the current.
func (c *Scope) Paint(from, to int, level float64) {
	if !c.Bipolar() {
		level = max(level, 0) // NaN stays NaN
	}
	level = min(max(level, -1), 1)
	cols := c.grid.Design.Grid.Cols
	r0, q0, r1, q1 := from/cols, from%cols, to/cols, to%cols
	steps := max(abs(r1-r0), abs(q1-q0), 1)
	for n := range steps + 1 {
		t := float64(n) / float64(steps)
		r := int(math.Round(float64(r0) + t*float64(r1-r0)))
		q := int(math.Round(float64(q0) + t*float64(q1-q0)))
		c.grid.Design.Light(c.canvas.levels, r*cols+q, level)
	}
	c.remix()
}

// Unpaint gives all pixels back to the scene; Undo takes it back.
func (c *Scope) Unpaint() {
	c.canvas.begin()
	for i := range c.canvas.levels {
		c.canvas.levels[i] = math.NaN()
	}
	c.canvas.end()
	c.remix()
}

// Undo takes the last stroke back and reports whether there was one.
func (c *Scope) Undo() bool { return c.repaint(c.canvas.back(&c.canvas.undo, &c.canvas.redo)) }

// Redo does an undone stroke again and reports whether there was one.
func (c *Scope) Redo() bool { return c.repaint(c.canvas.back(&c.canvas.redo, &c.canvas.undo)) }

func (c *Scope) repaint(changed bool) bool {
	if changed {
		c.remix()
	}
	return changed
}

// Hands are the levels painted by hand, by pixel.
func (c *View) Hands() map[int]float64 {
	list := map[int]float64{}
	for i, v := range c.hands {
		if v == v {
			list[i] = v
		}
	}
	return list
}

// Painted is the number of pixels set by hand.
func (c *View) Painted() int {
	n := 0
	for _, v := range c.hands {
		if v == v {
			n++
		}
	}
	return n
}

func abs(n int) int { return max(n, -n) }
