// Package shown measures what a viewer sees: the wanted picture, the places of the lit
// pixels, against where the fluid is, over time. It measures the fluid of the tank
// (player.Tank) and that of the quick drop model (player.Droplets) alike, and a record
// says which it was.
//
// A scene begins with a drop on every pixel that its first picture lights; how well that
// picture shows is told apart from what follows, which is what a display is judged by. A
// scene of one picture is judged by that. A scene of just switched pixels is played until it goes on
// as it did the time before, and the first time that shows too little judges
// (Recorder.Looped); a drop that keeps its shape has to make every hop (Record.Hops).
package shown
