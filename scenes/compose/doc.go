// Package compose lays scenes on a time line, as scene files say, and opens whatever a
// scene can be read from.
package compose
