package optimise

import (
	"math"
	"slices"

	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// timing is a scene with what its pixels do over time.
type timing struct {
	scene  scenes.Scene
	starts []float64    // s, of the frames
	states []grid.State // by frame and pixel
	latest []float64    // s, by frame and pixel: when a pixel that is lit but waits must be on
	goes   []float64    // s, by frame and pixel: when a pixel that is lit goes dark
}

// newTiming looks at a scene that is looped. Frames in which a pixel comes on and that
// last for much longer than kick are cut in two, so that it can rest in the second.
func newTiming(g *grid.Grid, s scenes.Scene, delay, kick float64) *timing {
	t := &timing{scene: s}
	t.scene.Frames = nil
	size := s.Rows * s.Cols
	lit := func(f scenes.Frame, i int) bool { return g.StateOf(f.Levels[i]) == grid.Lit }
	for k, f := range s.Frames {
		before := s.Frames[(k+len(s.Frames)-1)%len(s.Frames)]
		comes := false
		for i := range size {
			comes = comes || lit(f, i) && !lit(before, i)
		}
		if comes && kick > 0 && f.Duration > 1.5*kick {
			t.scene.Frames = append(t.scene.Frames, scenes.Frame{Levels: f.Levels, Duration: kick})
			f.Duration -= kick
		}
		t.scene.Frames = append(t.scene.Frames, f)
	}
	n := len(t.scene.Frames)
	t.starts = make([]float64, n+1)
	t.states = make([]grid.State, n*size)
	t.latest, t.goes = make([]float64, n*size), make([]float64, n*size)
	for k, f := range t.scene.Frames {
		t.starts[k+1] = t.starts[k] + f.Duration
		for i, v := range f.Levels {
			t.states[k*size+i] = g.StateOf(v)
		}
	}
	for i := range size {
		for k := 0; k < n; {
			if t.states[k*size+i] != grid.Lit {
				k++
				continue
			}
			end := k
			for end < n && t.states[end*size+i] == grid.Lit {
				end++
			}
			on, off := t.starts[k], t.starts[end]
			goes := off
			if end == n && t.states[i] == grid.Lit {
				goes = math.Inf(1) // the scene is looped
			}
			for ; k < end; k++ {
				t.goes[k*size+i] = goes
				t.latest[k*size+i] = math.Min(on+delay, on+(off-on)/2)
			}
		}
	}
	return t
}

func (t *timing) size() int { return t.scene.Rows * t.scene.Cols }

// state is what a pixel is meant to do in a frame.
func (t *timing) state(frame, pixel int) grid.State { return t.states[frame*t.size()+pixel] }

// mayWait tells whether a lit pixel that is not on yet may stay off for this frame.
func (t *timing) mayWait(frame, pixel int) bool {
	next := frame + 1
	return frame > 0 && next < len(t.scene.Frames) && t.starts[next] <= t.latest[frame*t.size()+pixel]+scenes.SameInstant
}

// merged joins frames that follow each other with the same levels.
func merged(s scenes.Scene) scenes.Scene {
	out := s
	out.Frames = nil
	for _, f := range s.Frames {
		if n := len(out.Frames); n > 0 && slices.Equal(out.Frames[n-1].Levels, f.Levels) {
			out.Frames[n-1].Duration += f.Duration
			continue
		}
		out.Frames = append(out.Frames, f)
	}
	return out
}
