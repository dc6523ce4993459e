// Package handover tells whether a drop follows when the light moves on to the next pixel:
// the drop as a disc that keeps its shape, over the energy landscape of two pixels.
package handover
