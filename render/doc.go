// Package render turns computed numbers into pictures and reports: field and
// temperature maps, the tank as a person would see it, films, charts, and the
// report as text, JSON and HTML. Every picture is an image.RGBA or a file made
// without a screen; only render/live opens a window.
package render
