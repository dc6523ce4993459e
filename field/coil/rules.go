package coil

import (
	"fmt"
	"slices"
	"strings"
)

// TrackRule is the narrowest track and gap a board house etches in copper up to a
// thickness. Metres.
type TrackRule struct {
	CopperUpTo float64
	Track, Gap float64
}

// Rules are what a board house can make. A field left zero or empty is not
// checked, so start from DefaultRules and change what differs.
type Rules struct {
	Tracks   []TrackRule // in any order; the thinnest rule that covers the copper counts
	ViaDrill float64     // smallest drill, m
	ViaRing  float64     // least copper ring round a drill, m
	Layers   []int       // layer counts on offer
}

const mil = 25.4e-6 // m

// DefaultRules returns the rules most board houses meet at their usual price:
// 4 mil track and gap up to 1 oz copper, 8 mil at 2 oz, 0.2 mm drill, 5 mil ring,
// 1 to 16 layers (common practice, no source). The copper bounds are 35 µm and
// 70 µm, so that every way an ounce is rounded passes.
func DefaultRules() Rules {
	return Rules{
		Tracks: []TrackRule{
			{CopperUpTo: 35e-6, Track: 4 * mil, Gap: 4 * mil},
			{CopperUpTo: 70e-6, Track: 8 * mil, Gap: 8 * mil},
		},
		ViaDrill: 0.2e-3,
		ViaRing:  5 * mil,
		Layers:   []int{1, 2, 4, 6, 8, 10, 12, 14, 16},
	}
}

// slack lets a value that was converted from mils or ounces meet a rule it equals.
const slack = 1e-9

// TrackRule returns the rule for a copper thickness in metres; false when the
// copper is thicker than any rule covers, or there are no rules.
func (r Rules) TrackRule(copper float64) (TrackRule, bool) {
	best, found := TrackRule{}, false
	for _, t := range r.Tracks {
		if copper <= t.CopperUpTo*(1+slack) && (!found || t.CopperUpTo < best.CopperUpTo) {
			best, found = t, true
		}
	}
	return best, found
}

// CheckBoard returns a *param.Error with key "layers" unless a board of that many
// layers is on offer.
func (r Rules) CheckBoard(layers int) error {
	if len(r.Layers) == 0 || slices.Contains(r.Layers, layers) {
		return nil
	}
	return params.Refuse("layers", nil, fmt.Sprintf("a board of %d layers is not on offer", layers), "one of "+list(r.Layers))
}

// BoardFor returns the smallest layer count on offer that holds a coil of that
// many layers; false when none does.
func (r Rules) BoardFor(layers int) (int, bool) {
	if len(r.Layers) == 0 {
		return layers, true
	}
	best := 0
	for _, n := range r.Layers {
		if n >= layers && (best == 0 || n < best) {
			best = n
		}
	}
	return best, best > 0
}

// check returns the first broken rule.
func (r Rules) check(s Spec) error {
	if _, ok := r.BoardFor(len(s.Layers)); !ok {
		return params.Refuse("layers", nil,
			fmt.Sprintf("the coil uses %d layers; the largest board on offer has %d", len(s.Layers), slices.Max(r.Layers)),
			fmt.Sprintf("%d or fewer (boards on offer: %s)", slices.Max(r.Layers), list(r.Layers)))
	}
	if err := r.checkTracks(s); err != nil {
		return err
	}
	if len(s.Layers) > 1 {
		if s.ViaDrill < r.ViaDrill*(1-slack) {
			return params.Refuse("via_drill", nil,
				fmt.Sprintf("%s; the smallest drill on offer is %s", mm(s.ViaDrill), mm(r.ViaDrill)),
				mm(r.ViaDrill)+" or larger")
		}
		if s.ViaRing < r.ViaRing*(1-slack) {
			return params.Refuse("via_drill", nil,
				fmt.Sprintf("a copper ring of %s round the drill; the least is %s", mm(s.ViaRing), mm(r.ViaRing)),
				"a ring of "+mm(r.ViaRing)+" or wider")
		}
	}
	return nil
}

// checkTracks holds the track and gap against the strictest rule of all layers.
func (r Rules) checkTracks(s Spec) error {
	if len(r.Tracks) == 0 {
		return nil
	}
	var track, gap TrackRule // the strictest for each
	var trackLayer, gapLayer int
	for i, l := range s.Layers {
		rule, ok := r.TrackRule(l.Copper)
		if !ok {
			thickest := 0.0
			for _, t := range r.Tracks {
				thickest = max(thickest, t.CopperUpTo)
			}
			return params.Refuse("layers", nil,
				fmt.Sprintf("layer %d has %s of copper; the track and gap table ends at %s", i+1, um(l.Copper), um(thickest)),
				fmt.Sprintf("copper of %s or thinner", um(thickest)))
		}
		if rule.Track > track.Track {
			track, trackLayer = rule, i
		}
		if rule.Gap > gap.Gap {
			gap, gapLayer = rule, i
		}
	}
	if s.Track < track.Track*(1-slack) {
		return params.Refuse("track", nil,
			fmt.Sprintf("%s, but layer %d has %s of copper and the rule up to %s is a track of %s", mm(s.Track),
				trackLayer+1, um(s.Layers[trackLayer].Copper), um(track.CopperUpTo), mm(track.Track)),
			mm(track.Track)+" or wider")
	}
	if s.Gap < gap.Gap*(1-slack) {
		return params.Refuse("gap", nil,
			fmt.Sprintf("%s, but layer %d has %s of copper and the rule up to %s is a gap of %s", mm(s.Gap),
				gapLayer+1, um(s.Layers[gapLayer].Copper), um(gap.CopperUpTo), mm(gap.Gap)),
			mm(gap.Gap)+" or wider")
	}
	return nil
}

func list(counts []int) string {
	sorted := slices.Clone(counts)
	slices.Sort(sorted)
	text := make([]string, len(sorted))
	for i, n := range sorted {
		text[i] = fmt.Sprint(n)
	}
	return strings.Join(text, ", ")
}
