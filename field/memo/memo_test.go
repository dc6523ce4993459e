package memo

import (
	"errors"
	"testing"
)

// A value is worked out once, a failure again, and of too many values all are forgotten.
func TestGet(t *testing.T) {
	m, worked := New[int, int](2), 0
	fails := errors.New("fails")
	get := func(k int, err error) (int, error) {
		return m.Get(k, func() (int, error) { worked++; return 10 * k, err })
	}
	for _, s := range []struct {
		key, worked int
		err         error
	}{{1, 1, fails}, {1, 2, nil}, {1, 2, fails}, {2, 3, nil}, {1, 3, nil}, {3, 4, nil}, {3, 4, nil}, {1, 5, nil}} {
		v, err := get(s.key, s.err)
		if worked != s.worked || (err != nil) != (s.worked == 1) || v != 10*s.key {
			t.Fatalf("%+v: %d, %v after %d", s, v, err, worked)
		}
	}
}
