// Package shown measures what a viewer sees: the wanted picture, the places of the lit
// pixels, against where the fluid is, over time. It measures the fluid of the tank
// (player.Tank) and that of the quick drop model (player.Droplets) alike, and a record
// says which it was.
//
// A scene begins with a drop on every pixel that its first picture lights; how well that
// picture shows is told apart from what follows, which is what a display is judged by. A
// scene of one picture is judged by that. Where a scene of just switched pixels does not lead its
// fluid back to where the first picture had it, the second time that it is played judges
// (Recorder.Looped), and a drop that keeps its shape has to make every hop (Record.Hops).
package shown
