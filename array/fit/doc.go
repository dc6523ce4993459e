// Package fit finds what a board really is like from a few readings on the bench: nonlinear
// least squares over the values of a design that are in doubt, with the usual tolerances as
// what is known before. Predictions come from the packages that compute displays; there is no
// physics here.
package fit
