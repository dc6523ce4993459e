package equalise

import (
	"context"
	"testing"

	"lodegrid/field/countdown"
)

func TestCancelled(t *testing.T) {
	target := picture(64, 64, 0)
	p := testProblem(64, 64)
	countdown.Stops(t, 125, func(ctx context.Context) error { _, err := New(ctx, p); return err })
	s := mustNew(t, p)
	countdown.Stops(t, 25, func(ctx context.Context) error { _, err := s.Solve(ctx, target, nil); return err })
}
