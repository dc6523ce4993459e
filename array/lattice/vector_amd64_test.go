//go:build !purego

package lattice

import "testing"

// bothWays runs a test with the processor's vector loops and without them.
func bothWays(t *testing.T, test func(*testing.T)) {
	was := vector
	defer func() { vector = was }()
	vector = false
	t.Run("plain", test)
	if was {
		vector = true
		t.Run("vector", test)
	}
}
