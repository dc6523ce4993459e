// Package optimise changes a scene so that the same picture costs less: pixels that
// have their drop are dimmed to what holds it, the hottest first where a power is to
// be kept, and pixels that come on together may wait a little for each other. Every
// frame is computed with the Player while the new scene is made, and the new scene is
// played as a whole before it is handed out: it never loses a drop, nor keeps one on
// a dark pixel, where the old one did not.
package optimise
