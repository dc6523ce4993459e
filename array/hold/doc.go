// Package hold tells which pixels keep their drop, which keep one they should not, and by
// how much: the pull on a drop, the hold ratio, the worst pattern of neighbours about a
// pixel, pixels that may be on together, and the largest drive and smallest pitch that
// the limits allow.
package hold
