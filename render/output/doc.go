// Package output puts the files of a run in their places. What each would replace is
// looked at before anything is computed; they are filled beside their places, and appear
// there together, or not at all.
package output
