package verdict

import (
	"lodegrid/array/design"
	"lodegrid/field"
)

// Kind is what a caution warns of.
type Kind string

// The kinds.
const (
	NeverCools  Kind = "never_cools"      // the scene settles in no state
	HotSurface  Kind = "hot_surface"      // Value: the hottest surface within reach, K
	BoardBurns  Kind = "board_over"       // Value, Limit: the hottest coil and the board's limit, K
	BoardNear   Kind = "board_near"       // the same, within boardMargin below the limit
	Implants    Kind = "implants"         // Value: distance in front of the board to Limit T, m
	Pinching    Kind = "magnets"          // strong magnets
	MetalBoard  Kind = "metal_board"      // Value: how far the round coil that stands for another is off, 0…1
	Unled       Kind = "leads_left_out"   // Text: why the board, whose leads the coils' figures count, cannot be drawn
	FarDrivers  Kind = "drivers_anywhere" // Value: what costs a hundredth of a coil's current between its holes and a driver whose place is open, Ω
	Still       Kind = "still_picture"    // no drop ever has to move
	SupplyWork  Kind = "supply"           // Text: what the supply's study warns of
	Uncertified Kind = "not_a_clearance"  // figures are computed, not certified
)

// Caution is a warning that a display earns, with its numbers.
type Caution struct {
	Kind         Kind
	Value, Limit float64
	// Beyond tells, for Implants, that the distance is farther than Value rather than
	// nearer: the field may be over the limit up to Value.
	Beyond bool
	Text   string
}

// burnFrom is the temperature of a surface from which contact for hours burns skin, K
// (43 °C, ISO 13732-1, from memory).
const burnFrom = field.ZeroCelsius + 43

// boardMargin is how near the board may come to its limit without a word, K: dust, sun
// and a blocked draught cost about that (common practice, no source).
const boardMargin = 20

// ImplantLimit is the static flux density that people with implanted electronic
// devices should stay below, T (ICNIRP, Health Physics 96(4) (2009) 504: quoted by
// a secondary source).
const ImplantLimit = 0.5e-3

// cautions lists the warnings that a display with a scene earns.
func cautions(x *played) []Caution {
	g := x.player.Grid()
	d, z := g.Design, x.summary
	var list []Caution
	if x.unrest != nil {
		list = append(list, Caution{Kind: NeverCools})
	}
	if z.Touch > burnFrom {
		list = append(list, Caution{Kind: HotSurface, Value: z.Touch, Limit: d.Limits.Touch})
	}
	switch {
	case z.Hottest > d.Limits.Board:
		list = append(list, Caution{Kind: BoardBurns, Value: z.Hottest, Limit: d.Limits.Board})
	case z.Hottest > d.Limits.Board-boardMargin:
		list = append(list, Caution{Kind: BoardNear, Value: z.Hottest, Limit: d.Limits.Board})
	}
	distance, near := g.StandOff(ImplantLimit)
	list = append(list, Caution{Kind: Implants, Value: distance, Limit: ImplantLimit, Beyond: !near})
	if d.Magnet.Kind != design.MagnetNone {
		list = append(list, Caution{Kind: Pinching})
	}
	if _, _, metal := d.MetalCore(); metal > 0 && g.Pixel.Eddy != nil {
		list = append(list, Caution{Kind: MetalBoard, Value: g.Pixel.Eddy.Alike})
	}
	if x.seen != nil && len(x.seen.Delays) == 0 && d.Pixels() > 1 {
		list = append(list, Caution{Kind: Still})
	}
	if x.unled != "" {
		list = append(list, Caution{Kind: Unled, Text: x.unled})
	}
	if d.Drive.Place == design.PlaceAny {
		list = append(list, Caution{Kind: FarDrivers, Value: (g.Pixel.Coil.Cold().Value + d.Switches()) / 99})
	}
	list = append(list, Caution{Kind: Uncertified})
	if x.supply != nil {
		for _, text := range x.supply.Cautions {
			list = append(list, Caution{Kind: SupplyWork, Text: text})
		}
	}
	return list
}
