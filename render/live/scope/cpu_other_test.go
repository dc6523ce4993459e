//go:build !linux

package scope

import "time"

// cpuClock is the clock on the wall, for want of one of processor time.
func cpuClock() (now func() time.Duration, stop func()) {
	start := time.Now()
	return func() time.Duration { return time.Since(start) }, func() {}
}
