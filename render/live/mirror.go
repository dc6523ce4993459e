//go:build !js

package live

// mirror gives the meters in words to whoever asked for them.
func (w *window) mirror() {
	if w.options.Mirror != nil {
		w.options.Mirror(w.mirrorLines())
	}
}
