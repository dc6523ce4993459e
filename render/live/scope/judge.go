package scope

import (
	"context"
	"fmt"
	"runtime"
	"sync/atomic"
	"time"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/render"
	"lodegrid/scenes/player"
	"lodegrid/scenes/verdict"
)

// judge is the verdict on the scene as a whole, in a loop, which is reached on a
// goroutine of its own while the window plays.
type judge struct {
	stop     context.CancelFunc // ends the work under way
	done     chan judged        // holds one; a new one for each judgement
	progress *progress
	bare     bool // leaves out what mends the problems
}

// judged is what a judgement came to.
type judged struct {
	words    []string // one line a problem
	wrong    bool     // a limit is broken, or no verdict was reached
	problems []Problem
	cure     Advice // of all problems together; no settings when there is none
}

// Problem is a limit that the scene breaks in a loop.
type Problem struct {
	Key, What string
	Advice    []Advice
}

// Advice is what mends a problem, as far as it was found by playing it.
type Advice struct {
	Text string
	Set  []design.Change // none where nothing was found
}

// progress is how far a judgement has come.
type progress struct{ frames, of, trials atomic.Int64 }

func (p *progress) String() string {
	if n := p.trials.Load(); n > 0 {
		return fmt.Sprintf("being judged: settings tried %d", n)
	}
	return fmt.Sprintf("being judged: %.0f %%", 100*float64(p.frames.Load())/float64(max(p.of.Load(), 1)))
}

// Judge begins the verdict anew.
func (c *Scope) Judge() { c.rejudge() }

// JudgeBare is Judge without what mends the problems, for good.
func (c *Scope) JudgeBare() {
	c.judge.bare = true
	c.rejudge()
}

// StopJudging ends the judgement under way.
func (c *Scope) StopJudging() {
	if !c.known {
		c.judge.stop()
	}
}

// rejudge begins the verdict on the display and the scene that are shown, and ends the
// one under way.
func (c *Scope) rejudge() {
	j := &c.judge
	if j.stop != nil {
		j.stop()
	}
	ctx, stop := context.WithCancel(c.ctx)
	*j = judge{stop: stop, done: make(chan judged, 1), progress: &progress{}, bare: j.bare}
	j.progress.of.Store(int64(len(c.scene.Frames)))
	c.judged, c.known, c.judging = judged{}, false, j.progress.String()
	grid, s, done, how, bare := c.grid, c.scene, j.done, j.progress, j.bare
	twin := grid.With(grid.Design)
	go func() {
		if runtime.GOOS == "js" {
			time.Sleep(webPause) // the window comes first
		}
		done <- reach(Breathe(ctx), twin, s, bare, how)
	}()
}

func noVerdict(why string) judged { return judged{words: []string{"No verdict: " + why}, wrong: true} }

// reach judges a scene on a grid.
func reach(ctx context.Context, g *grid.Grid, s Pictures, bare bool, how *progress) (out judged) {
	defer func() {
		if r := recover(); r != nil {
			out = noVerdict(fmt.Sprintf("judging failed: %v", r))
		}
	}()
	p, err := player.New(g)
	if err != nil {
		return noVerdict(err.Error())
	}
	v, err := verdict.Judge(ctx, p, s.Scene, verdict.Watch{
		Wanted: s.Wanted, Plan: s.Plan, Bare: bare,
		Entry: func(player.Entry, *grid.Plane) { how.frames.Add(1) },
		Trial: func() { how.trials.Add(1) },
	})
	if ctx.Err() != nil {
		return noVerdict("judging was stopped")
	} else if err != nil {
		return noVerdict(err.Error())
	}
	return worded(g.Design, v)
}

// webPause is how long a browser's window is left alone before its scene is judged.
const webPause = 2 * time.Second

// worded puts a verdict into the lines that the window shows.
func worded(d design.Design, v *verdict.Verdict) judged {
	var doc render.Document
	doc.Judge(d, v)
	if len(doc.Problems) == 0 {
		return judged{words: []string{"The scene in a loop: no limit is broken."}}
	}
	out := judged{wrong: true}
	for i, p := range doc.Problems {
		out.words = append(out.words, fmt.Sprintf("Problem %d of %d, %s: %s", i+1, len(doc.Problems), p.Key, p.What))
		q := Problem{Key: p.Key, What: p.What}
		for k, text := range p.Advice {
			a := Advice{Text: text}
			if k < len(p.Found.Remedies) {
				a.Set = p.Found.Remedies[k].Set
			}
			q.Advice = append(q.Advice, a)
		}
		out.problems = append(out.problems, q)
	}
	out.cure = Advice{doc.Cure, v.Cure}
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
		if c.known {
			return false
		}
		if s := c.judge.progress.String(); s != c.judging {
			c.judging = s
			c.version++
			return true
		}
		return false
	}
}

// Judging says how far the judgement under way has come, and is empty without one.
func (c *View) Judging() string {
	if c.known {
		return ""
	}
	return c.judging
}

// Problems are the limits that the scene breaks in a loop, and what mends all of them
// together, without settings where that is not known.
func (c *View) Problems() ([]Problem, Advice) { return c.judged.problems, c.judged.cure }

// Verdict is the verdict on the scene as a whole in words, one line for each broken
// limit. known is false while it is being reached; wrong tells that a limit is broken or
// that there is no verdict.
func (c *View) Verdict() (words []string, wrong, known bool) {
	return c.judged.words, c.judged.wrong, c.known
}
