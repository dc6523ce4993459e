package live

// MirrorID is the id of the element of the page that holds the meters in words when
// the window runs in a browser.
const MirrorID = "lodegrid-meters"

// mirrorLines is what the window tells those who cannot see it.
func (w *window) mirrorLines() []string {
	lines := w.view.Meters().Lines()
	switch {
	case w.view.Problem() != "":
		lines = append(lines, "Not shown: "+w.view.Problem())
	case w.view.Stale():
		lines = append(lines, "Computing a change of the design")
	}
	if list, _, known := w.view.Verdict(); known {
		lines = append(lines, list...)
	}
	lines = append(lines, w.probeLines()...)
	if w.words != "" {
		lines = append(lines, w.words)
	}
	return lines
}
