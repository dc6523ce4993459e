package scope

import (
	"context"
	"sync/atomic"
	"testing"
	"time"
)

// TestBreathe has two pieces of work give way together: neither goes on before the browser
// had its turn, and both do after it.
func TestBreathe(t *testing.T) {
	asked := make(chan func(), 2)
	r := &rest{ask: func(then func()) { asked <- then }}
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var looks [2]atomic.Int64
	for i := range looks {
		go func() {
			for b := (breathing{ctx, r}); b.Err() == nil; {
				looks[i].Add(1)
			}
		}()
	}
	for range 3 {
		then := <-asked
		time.Sleep(2 * breath) // both have come to rest
		a, b := looks[0].Load(), looks[1].Load()
		time.Sleep(2 * breath)
		if looks[0].Load() != a || looks[1].Load() != b || len(asked) > 0 {
			t.Fatal("work goes on while the browser has its turn")
		}
		then()
		for looks[0].Load() == a || looks[1].Load() == b {
			select {
			case next := <-asked: // one was slow to wake
				next()
			default:
				time.Sleep(time.Millisecond)
			}
		}
	}
	stop()
	select {
	case then := <-asked:
		then()
	case <-time.After(2 * breath):
	}
}
