package peak

import "testing"

// A process that fills 64 MiB has at least that, and not the parent's 256 MiB.
func TestOf(t *testing.T) {
	fill := func(n int) byte {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(i)
		}
		return b[n/2]
	}
	if !child(t) {
		fill(256 << 20)
	}
	if got := Of(t, func() { fill(64 << 20) }); !child(t) && (got < 64<<20 || got > 160<<20) {
		t.Errorf("%d bytes, want 64 MiB and a little", got)
	}
}
