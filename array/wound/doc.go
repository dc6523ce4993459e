// Package wound is a wound electromagnet as it is bought, and how a design's flat coil
// compares with it.
package wound
