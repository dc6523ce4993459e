// Package table writes scenes as tables of drive levels, and reads them back: as
// comma-separated text, and as a compact binary table for firmware.
package table
