package countdown

import (
	"context"
	"testing"
)

func TestAfter(t *testing.T) {
	c := After(2)
	for i, want := range []error{nil, nil, context.Canceled, context.Canceled} {
		if got := c.Err(); got != want {
			t.Errorf("look %d: %v, want %v", i, got, want)
		}
	}
	if c.Looks() != 4 {
		t.Errorf("%d looks, want 4", c.Looks())
	}
}
