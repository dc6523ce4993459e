package supply

import "math"

// FuseKind is how fast a miniature fuse-link opens.
type FuseKind string

// The kinds, marked F and T on the fuse.
const (
	QuickActing FuseKind = "quick-acting" // F
	TimeLag     FuseKind = "time-lag"     // T: bears the inrush of capacitors
)

// gate bounds the time that a fuse-link takes at a multiple of its rated current, s.
type gate struct{ ratio, earliest, latest float64 }

// MostMiniature is the greatest rating of miniature fuse-links that is usually sold, A.
const MostMiniature = 10.0

// fuseGates are the limits of pre-arcing times of miniature fuse-links, 5 mm × 20 mm, of
// low breaking capacity, 125 mA to 10 A, between which every make must lie: IEC 60127-2
// standard sheet 2 (quick-acting) as quoted by a secondary source, standard sheet 3
// (time-lag) from memory. The standard itself was not seen.
var fuseGates = map[FuseKind][]gate{
	QuickActing: {{Borne, 3600, math.Inf(1)}, {2.1, 0, 1800}, {2.75, 0.05, 2}, {4, 0.01, 0.3}, {10, 0, 0.02}},
	TimeLag:     {{Borne, 3600, math.Inf(1)}, {2.1, 0, 120}, {2.75, 0.6, 10}, {4, 0.15, 3}, {10, 0.02, 0.3}},
}

// Opens returns the earliest and the latest time in seconds at which a fuse-link opens
// that carries a multiple of its rated current; +Inf where it need not open. A greater
// current opens a fuse sooner, so that a ratio between two of the standard's gates lies
// between the latest time of the gate below and the earliest of the gate above; nothing
// is interpolated. Below the first gate nothing but patience is promised.
func (k FuseKind) Opens(ratio float64) (earliest, latest float64) {
	latest = math.Inf(1)
	for _, g := range fuseGates[k] {
		if ratio >= g.ratio {
			latest = g.latest
		}
		if ratio <= g.ratio {
			earliest = math.Max(earliest, g.earliest)
		}
	}
	return earliest, latest
}

// smallFuses are ratings below those of feeders, A: the R10 series, from memory.
var smallFuses = []float64{0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8}

// FuseFor returns the usual rating of a fuse that carries a continuous current, both in
// amperes, by FuseMargin; ok is false above the ladder.
func FuseFor(current float64) (rating float64, ok bool) {
	if rating, ok := next(smallFuses, current*FuseMargin); ok {
		return rating, true
	}
	return next(Fuses, current*FuseMargin)
}

// Borne is how many times its rating a fuse carries for an hour or longer, of both sheets.
const Borne = 1.5

// Overload is how much more than its rating a supply may give before its own limit holds
// it, as a share of the rating. Usual supplies limit between 1.1 and 1.5 times; the upper
// end does most harm. Common practice, no source.
const Overload = 1.5
