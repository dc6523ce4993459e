package scope

import (
	"context"
	"sync"
	"time"
)

// Breathe is a context for work beside the window. A browser has one thread for all: there,
// whoever looks whether to end gives way to it for a moment, once in a while. Contexts made
// from it do not.
func Breathe(ctx context.Context) context.Context {
	if browser.ask == nil {
		return ctx
	}
	return breathing{ctx, &browser}
}

// breath is how long work goes on before it gives way.
const breath = 8 * time.Millisecond

// browser is given way to by all work; it asks for nothing where there is none.
var browser rest

// rest is a pause that all work takes together: one that slept while another worked would
// be awake again when that one slept, and the browser had no turn.
type rest struct {
	ask func(then func()) // has the browser call then when its turn has come

	mu   sync.Mutex
	last time.Time     // end of the pause before
	over chan struct{} // closed when the pause ends, nil without one
}

// take pauses where a pause is due or under way.
func (r *rest) take() {
	r.mu.Lock()
	over := r.over
	if over == nil && time.Since(r.last) > breath {
		over = make(chan struct{})
		r.over = over
		r.ask(func() {
			r.mu.Lock()
			defer r.mu.Unlock()
			r.over, r.last = nil, time.Now()
			close(over)
		})
	}
	r.mu.Unlock()
	if over != nil {
		<-over
	}
}

type breathing struct {
	context.Context
	rest *rest
}

// Err implements context.Context.
func (b breathing) Err() error {
	b.rest.take()
	return b.Context.Err()
}

// Done implements context.Context.
func (b breathing) Done() <-chan struct{} {
	b.rest.take()
	return b.Context.Done()
}
