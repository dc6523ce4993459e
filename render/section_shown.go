package render

import (
	"fmt"

	"lodegrid/field/quantity"
	"lodegrid/scenes/shown"
)

// Seen is what of a scene was seen in the tank, with what the drop model makes
// of the same.
func Seen(tank, drops *shown.Record) []string {
	if len(tank.Sights) == 0 {
		return []string{"no frame of the scene came to its end"}
	}
	share, stray := tank.Share()
	quick, _ := drops.Share()
	running, overlap := tank.Running()
	return []string{
		fmt.Sprintf("%s: the fluid is on %s of the wanted pixels at the frames' ends %s, on %s over time; picture and fluid overlap by %s; fluid at dark pixels: %s of what is wanted",
			tank.Model, percent(share), judgedPart(tank), percent(running), percent(overlap), percent(stray)),
		fates(tank),
		fmt.Sprintf("%s, which report counts with: on %s of them", drops.Model, percent(quick)),
	}
}

// fates tells what became of drops and pictures.
func fates(r *shown.Record) string {
	never, delay := r.Late()
	text := fmt.Sprintf("%d wanted places stayed bare at a frame's end, %d of them had had their drop; %d times drops ran together; %d of %d new pictures never came", r.Count(shown.Starved), r.Count(shown.Lost), r.Count(shown.Fused), never, len(r.Delays))
	if n := len(r.Delays) - never; n > 0 {
		text += ", the others after " + quantity.Format(delay, quantity.Time) + " on average"
	}
	if w := r.Worst(); w >= 0 {
		s := r.Sights[w]
		text += fmt.Sprintf("; worst is frame %d with %d of %d", s.Frame+1, s.Shown, s.Wanted)
	}
	return text
}

// judgedPart tells which frames a record is judged by.
func judgedPart(r *shown.Record) string {
	if len(r.Judged()) == len(r.Sights) {
		return "of its only picture"
	}
	return fmt.Sprintf("after the first picture (in which it is on %s)", percent(r.Start()))
}
