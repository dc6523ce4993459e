// Package live opens the window that plays a display: the tank as a person would
// see it, live meters, and pixels switched by the pointer. It is a thin shell: what
// is shown is computed by package scope, which needs no screen. This is the only
// package of the project that imports Ebitengine.
package live
