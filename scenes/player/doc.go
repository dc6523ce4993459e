// Package player plays a scene on a grid: it steps time frame by frame, from
// drive levels to currents, heat, field and the hold of every pixel, and fills a
// Ledger with what each frame costs and where it fails. Every front end, report,
// film and window, reads the same Ledger; none computes anything of its own.
package player
