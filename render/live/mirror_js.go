package live

import (
	"strings"
	"syscall/js"
)

// mirror writes the meters in words into an element of the page, one paragraph a
// line, which screen readers read out politely and tests can look at.
func (w *window) mirror() {
	lines := w.mirrorLines()
	if w.options.Mirror != nil {
		w.options.Mirror(lines)
	}
	document := js.Global().Get("document")
	element := document.Call("getElementById", MirrorID)
	if element.IsNull() {
		element = document.Call("createElement", "div")
		element.Set("id", MirrorID)
		element.Call("setAttribute", "role", "status")
		element.Call("setAttribute", "aria-live", "polite")
		// Out of sight, but not out of reach of a screen reader.
		element.Get("style").Set("cssText", "position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:pre-line")
		document.Get("body").Call("appendChild", element)
	}
	text := strings.Join(lines, "\n")
	if element.Get("textContent").String() != text {
		element.Set("textContent", text)
	}
}
