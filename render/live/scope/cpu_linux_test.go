package scope

import (
	"runtime"
	"time"

	"golang.org/x/sys/unix"
)

// cpuClock returns a clock of the processor time that the calling goroutine's thread
// has used, which the machine's other work does not disturb; stop unpins it.
func cpuClock() (now func() time.Duration, stop func()) {
	runtime.LockOSThread()
	return func() time.Duration {
		var t unix.Timespec
		if err := unix.ClockGettime(unix.CLOCK_THREAD_CPUTIME_ID, &t); err != nil {
			return time.Duration(time.Now().UnixNano())
		}
		return time.Duration(t.Nano())
	}, runtime.UnlockOSThread
}
