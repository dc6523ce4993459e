//go:build race

package peak

// raced tells that the race detector, which multiplies the memory in use, is on.
const raced = true
