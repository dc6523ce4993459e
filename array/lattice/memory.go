package lattice

import "fmt"

// Memory is what an engine and one set of planes need, in bytes.
type Memory struct {
	Table   float64 // the kernel at all offsets, kept for the changed-pixel path
	Spectra float64 // the kernel's spectra
	Scratch float64 // work space of a sum
	Planes  float64 // one NewPlanes
	Peak    float64 // the most needed at once, while New prepares the engine
}

// Held is what stays in use once New has returned: all but the peak.
func (m Memory) Held() float64 { return m.Table + m.Spectra + m.Scratch + m.Planes }

// Estimate tells how much memory New would need for a shape and options, without
// allocating any of it or asking the kernel. It is exact for an engine over the
// full range, up to a few kilobytes of bookkeeping, and an upper bound for a
// truncated one. The error is that of a shape or option out of range.
func Estimate(s Shape, opts ...Option) (Memory, error) {
	m, _, err := estimate(s, opts)
	return m, err
}

func estimate(s Shape, opts []Option) (Memory, settings, error) {
	if err := s.validate(); err != nil {
		return Memory{}, settings{}, err
	}
	set, err := gather(s, opts)
	if err != nil {
		return Memory{}, set, err
	}
	const word = 8
	var (
		h, w             = columnCosts().length(2*s.rowReach() + 1), rowCosts().length(2*s.colReach() + 1)
		n                = float64(h) * float64(w)
		out              = float64(s.blockRows()) * float64(s.blockCols())
		reals, complexes = tables(s, set.symmetry)
		m                Memory
	)
	table := word * tableSize(s, set.symmetry, s.rowReach(), s.colReach())
	m.Spectra = word * n * (reals + 2*complexes)
	m.Planes = word * (float64(s.Components)*float64(s.Samples)*float64(s.Samples)*out + float64(s.Rows)*float64(s.Cols))
	lane := 2*word*(float64(h)*float64(pitch(s))+2.25*float64(w)) + word*(out+float64(s.blockCols()))
	m.Scratch = 2*word*(n*forms(s, set.symmetry)+float64(h)*float64(halfPitch(w))) + lane*float64(set.workers)
	if !set.framesOnly {
		m.Table = table
	}
	// While preparing, the table and one plane of scratch are alive as well;
	// a truncated engine copies part of its table.
	prepare := table + m.Spectra + m.Scratch + 2*word*n
	if set.truncated {
		prepare += table
	}
	m.Peak = max(prepare, m.Held())
	return m, set, nil
}

// forms is the number of forms of the levels' spectrum in use.
func forms(s Shape, y Symmetry) float64 {
	point := y.Point
	var used [spectra]bool
	if point == nil || s.Samples%2 == 1 {
		used[plain] = true
	}
	for _, p := range point {
		if s.Samples > 1 {
			used[signed(p, 1)] = true
		}
	}
	if s.Samples > 1 && point != nil && y.Y != nil {
		for c, p := range point {
			used[signed(p, y.Y[c])] = true
		}
	}
	n := 0.0
	for _, u := range used {
		if u {
			n++
		}
	}
	return n
}

// formatBytes writes a number of bytes with a unit of 1024.
func formatBytes(b float64) string {
	units := []string{"B", "KiB", "MiB", "GiB", "TiB", "PiB", "EiB"}
	i := 0
	for b >= 1024 && i < len(units)-1 {
		b /= 1024
		i++
	}
	if i == 0 {
		return fmt.Sprintf("%.0f B", b)
	}
	return fmt.Sprintf("%.1f %s", b, units[i])
}
