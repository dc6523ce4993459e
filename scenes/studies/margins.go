package studies

import (
	"context"
	"slices"

	"lodegrid/array/grid"
	"lodegrid/array/hold"
)

// Margins is how far a grid's pixels stay from doing the opposite of what they are told,
// and what the grid bears until they begin to.
type Margins struct {
	Places []hold.Margin // at the typical places
	// On and Off index the place with the least margin against a drop kept by a dark
	// pixel, and against one lost by a lit pixel.
	On, Off int
	Tried   int // patterns looked at
	Drive   hold.DriveLimit
	Pitch   hold.PitchLimit
	Groups  hold.Groups
	// GroupHold is the least hold ratio of a lit pixel in any group.
	GroupHold float64
}

// Groups of pixels are told apart when they disturb each other within groupReach
// pitches, and up to mostGroups of them are tried.
const groupReach, mostGroups = 4, 16

// SearchMargins searches at the grid's typical places.
func SearchMargins(ctx context.Context, g *grid.Grid, s hold.Search) (Margins, error) {
	var m Margins
	places := hold.TypicalPlaces(g)
	for _, step := range []func() error{
		func() (err error) { m.Places, err = hold.Margins(ctx, g, s, places); return },
		func() (err error) { m.Drive, err = hold.LargestDrive(ctx, g, s, places); return },
		func() (err error) { m.Pitch, err = hold.SmallestPitch(ctx, g, s); return },
		func() (err error) { m.Groups, err = hold.FindGroups(ctx, g, groupReach, mostGroups); return },
	} {
		if err := step(); err != nil {
			return m, err
		}
	}
	for k, p := range m.Places {
		if p.OnMargin < m.Places[m.On].OnMargin {
			m.On = k
		}
		if p.OffMargin < m.Places[m.Off].OffMargin {
			m.Off = k
		}
		m.Tried += p.Tried
	}
	if len(m.Groups.Hold) > 0 {
		m.GroupHold = slices.Min(m.Groups.Hold)
	}
	return m, nil
}
