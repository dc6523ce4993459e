package live

import (
	"bytes"
	"encoding/json"
	"math"

	"lodegrid/array/design"
	"lodegrid/render/live/scope"
)

// kept is what a window is put back to after it was closed: all that was done to the
// design and the scene that it starts with.
type kept struct {
	Set     []design.Change
	Clock   float64 // s
	Playing bool
	Loop    bool
	Speed   float64
	Overlay string
	Outline bool
	Dark    bool
	Page    page
	Hands   map[int]float64 // painted levels
}

// keep gives the state to whoever keeps it, when it is another one, and not of a file that
// was opened since: it is put back on what the window begins with.
func (w *window) keep() {
	v := w.view
	if w.options.Keep == nil || v.Opened() {
		return
	}
	k := kept{
		Set: v.Changes(), Clock: v.Clock(), Playing: v.Playing(), Loop: v.Loop(), Speed: v.Speed(),
		Overlay: v.Overlay().String(), Outline: v.Outline(), Dark: w.dark, Page: w.page, Hands: v.Hands(),
	}
	if data, err := json.Marshal(k); err == nil && !bytes.Equal(data, w.keptAs) {
		w.keptAs = data
		w.options.Keep(data)
	}
}

// restore puts the window to a state that was kept; what does not fit is left out.
func (w *window) restore(c *scope.Scope) {
	var k kept
	if json.Unmarshal(w.options.Kept, &k) != nil {
		return
	}
	if len(k.Set) > 0 {
		if err := c.SetNow(k.Set...); err != nil {
			w.tell("what was changed before cannot be taken up: "+err.Error(), true)
		}
	}
	for i, level := range k.Hands {
		if i >= 0 && i < c.Design().Pixels() && !math.IsNaN(level) {
			c.Paint(i, i, level)
		}
	}
	c.SetLoop(k.Loop)
	c.SetSpeed(k.Speed)
	if k.Clock > 0 {
		c.Seek(k.Clock)
	}
	if c.Playing() != k.Playing {
		c.Toggle()
		if k.Clock > 0 {
			c.Seek(k.Clock)
		}
	}
	if o, err := scope.ParseOverlay(k.Overlay); err == nil {
		c.SetOverlay(o)
	}
	c.SetOutline(k.Outline)
	w.dark = k.Dark
	if k.Page >= 0 && k.Page < pages {
		w.page = k.Page
	}
}
