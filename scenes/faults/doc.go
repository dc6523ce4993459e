// Package faults works out what one thing that goes wrong does to a display that plays a
// scene: how hot it gets and how soon, what current flows, whether the feeder's fuse or
// the supply's own limit ends it, what the picture loses, and which part catches it in
// time.
//
// A fault comes upon the display at the steady state of its looping scene's mean heat,
// and the other pixels go on with that heat. The rail stays at its voltage until the
// supply's own limit holds it.
package faults
