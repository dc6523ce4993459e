package shown

import (
	"lodegrid/array/grid"
	"lodegrid/field/aside"
	"lodegrid/scenes/player"
)

// ahead is how many stretches of time a player may be ahead of the fluid that follows it.
const ahead = 8

// Behind follows a player with a recorder's fluid beside it, on a core of its own where there is
// one: what comes out is the same to the last bit. It wants a fluid that looks at the pressure
// alone, as the drop model does.
type Behind struct {
	r     *Recorder
	spare chan *stretch // not in use
	next  chan *stretch
	done  chan struct{}
	err   error // once done
}

// stretch is a length of time in s in the magnetic pressure of a plane.
type stretch struct {
	dt    float64
	plane grid.Plane
}

// Behind starts to follow; End must be called.
func (r *Recorder) Behind() *Behind {
	b := &Behind{r: r, spare: make(chan *stretch, ahead), next: make(chan *stretch, ahead), done: make(chan struct{})}
	for range ahead {
		b.spare <- new(stretch)
	}
	go b.run()
	return b
}

func (b *Behind) run() {
	defer close(b.done)
	for s := range b.next {
		if b.err == nil {
			b.err = aside.Catch(func() error { return b.r.Move(s.dt, &s.plane) })
		}
		b.spare <- s
	}
}

// Frame hands over the frame that the player played last and lasts a duration in s.
func (b *Behind) Frame(p *player.Player, duration float64) error {
	return p.Move(0, duration, func(dt float64, plane *grid.Plane) error {
		s := <-b.spare
		s.dt, s.plane = dt, grid.Plane{Raster: plane.Raster, Pi: append(s.plane.Pi[:0], plane.Pi...)}
		b.next <- s
		return nil
	})
}

// End waits for the fluid and returns its error, or panics as it did; the recorder is whole then.
func (b *Behind) End() error {
	close(b.next)
	<-b.done
	return aside.Raise(b.err)
}
