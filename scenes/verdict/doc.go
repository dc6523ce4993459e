// Package verdict judges a display that plays a scene: which of the design's limits it
// breaks, where and by how much, which settings mend that, and which cautions it earns.
// It is the one place where that is decided; every command, the window and the page
// read it from here.
//
// A setting is offered as a remedy only after the display was played with it: the limit
// it is for is kept then, and no other is broken that was not, or broken worse.
package verdict
