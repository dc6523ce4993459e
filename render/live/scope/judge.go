package scope

import (
	"context"
	"fmt"
	"runtime"
	"time"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/render"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/verdict"
)

// judge is the verdict on the scene as a whole, in a loop, which is reached on a
// goroutine of its own while the window plays.
type judge struct {
	stop context.CancelFunc // ends the work under way
	done chan judged        // holds one; a new one for each judgement
}

// judged is what a judgement came to.
type judged struct {
	words []string // one line a problem
	wrong bool     // a limit is broken, or no verdict was reached
}

// rejudge begins the verdict on the display and the scene that are shown, and ends the
// one under way.
func (c *Scope) rejudge() {
	j := &c.judge
	if j.stop != nil {
		j.stop()
	}
	ctx, stop := context.WithCancel(c.ctx)
	*j = judge{stop: stop, done: make(chan judged, 1)}
	c.judged, c.known = judged{}, false
	grid, s, done := c.grid, c.scene, j.done
	twin, err := grid.With(grid.Design)
	if err != nil {
		done <- judged{[]string{"No verdict: " + err.Error()}, true}
		return
	}
	go func() { done <- reach(ctx, twin, s) }()
}

// reach judges a scene on a grid.
func reach(ctx context.Context, g *grid.Grid, s scenes.Scene) (out judged) {
	defer func() {
		if r := recover(); r != nil {
			out = judged{[]string{fmt.Sprintf("No verdict: judging failed: %v", r)}, true}
		}
	}()
	p, err := player.New(g)
	if err != nil {
		return judged{[]string{"No verdict: " + err.Error()}, true}
	}
	v, err := verdict.Judge(ctx, p, s, verdict.Watch{
		Entry: func(player.Entry, *grid.Plane) { breathe() }, Trial: breathe,
	})
	if err != nil {
		return judged{[]string{"No verdict: " + err.Error()}, true}
	}
	return worded(g.Design, v)
}

// breathe lets a browser, which has one thread for all, draw in between.
func breathe() {
	if runtime.GOOS == "js" {
		time.Sleep(time.Millisecond)
	}
}

// worded puts a verdict into the lines that the window shows.
func worded(d design.Design, v *verdict.Verdict) judged {
	var doc render.Document
	doc.Judge(d, v)
	if len(doc.Problems) == 0 {
		return judged{[]string{"The scene in a loop: no limit is broken."}, false}
	}
	out := judged{wrong: true}
	for i, p := range doc.Problems {
		out.words = append(out.words, fmt.Sprintf("Problem %d of %d, %s: %s", i+1, len(doc.Problems), p.Key, p.What))
	}
	return out
}

// pollVerdict takes over a verdict once it is reached.
func (c *Scope) pollVerdict() bool {
	select {
	case out := <-c.judge.done:
		c.judged, c.known = out, true
		c.judge.stop()
		c.version++
		return true
	default:
		return false
	}
}

// Verdict is the verdict on the scene as a whole in words, one line for each broken
// limit. known is false while it is being reached; wrong tells that a limit is broken or
// that there is no verdict.
func (c *View) Verdict() (words []string, wrong, known bool) {
	return c.judged.words, c.judged.wrong, c.known
}
