// Package scope holds what a live window shows, without any window: the display
// being played tick by tick, what the pointer has painted, the meters, and the
// picture of the tank as an image. Nothing here needs a screen or a graphics card.
package scope
