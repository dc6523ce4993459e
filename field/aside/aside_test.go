package aside

import (
	"errors"
	"fmt"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
)

// said is what a call panics with, "" where it does not.
func said(do func()) (text string) {
	defer func() {
		if r := recover(); r != nil {
			text = fmt.Sprint(r)
		}
	}()
	do()
	return ""
}

// A goroutine's panic is the caller's, with the place where it was made; errors are errors, and
// nothing is begun after one.
func TestEach(t *testing.T) {
	text := said(func() {
		_ = Each(5, func(k int) error {
			if k == 3 {
				panic("no such pixel")
			}
			return nil
		})
	})
	if !strings.HasPrefix(text, "no such pixel\n") || !strings.Contains(text, "aside_test.go") {
		t.Errorf("said %q", text)
	}
	wrong := errors.New("wrong")
	var calls atomic.Int64
	err := Each(1000, func(int) error {
		calls.Add(1)
		return wrong
	})
	if err != wrong || calls.Load() > int64(runtime.GOMAXPROCS(0)) {
		t.Errorf("%v after %d calls, want the first error", err, calls.Load())
	}
	calls.Store(0)
	if err := Each(1000, func(k int) error { calls.Add(int64(k)); return nil }); err != nil || calls.Load() != 999*1000/2 {
		t.Errorf("%v, the numbers add up to %d", err, calls.Load())
	}
}

// A panic is one still where its error was joined or wrapped on the way.
func TestRaise(t *testing.T) {
	err := Catch(func() error { panic("no such pixel") })
	if text := said(func() { _ = Raise(fmt.Errorf("following: %w", errors.Join(nil, err))) }); !strings.HasPrefix(text, "no such pixel") {
		t.Errorf("said %q", text)
	}
	if err := Raise(nil); err != nil {
		t.Error(err)
	}
}
