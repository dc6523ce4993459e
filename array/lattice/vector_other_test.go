//go:build !amd64 || purego

package lattice

import "testing"

// bothWays runs a test with the processor's vector loops and without them; here
// there are none.
func bothWays(t *testing.T, test func(*testing.T)) { t.Run("plain", test) }
