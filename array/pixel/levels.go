package pixel

import (
	"fmt"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/field"
)

// LevelGain is the coil's share of the field at a current in front of biased steel.
type LevelGain struct {
	Level, Current float64 // of full level; A
	// Field is the coil's share of Bz on the axis at the height wanted, T: what the
	// current changes there.
	Field float64
	// Share is the field per ampere over that at full level.
	Share float64
}

// atLevels finds the coil's shares at both polarities and several currents. The steel
// that a magnet has bent answers a current that adds to the magnet's field less than one
// that takes from it, so one slope will not do.
func (i *Iron) atLevels(d design.Design, air field.Source, z float64, share func(current float64) (field.Source, error)) error {
	levels := []float64{-1, -0.5, 0.5, 1}
	if d.Drive.Mode == design.DriveKick && d.Drive.HoldDuty > 0 && d.Supply.Voltage > 0 {
		if kick := d.Drive.KickVoltage / d.Supply.Voltage / d.Drive.HoldDuty; kick > 1.01 {
			levels = append([]float64{-kick}, append(levels, kick)...)
		}
	}
	at := r3.Vec{Z: z}
	per := air.B(at).Z
	full := per + i.coil.B(at).Z
	for _, level := range levels {
		steel := i.coil
		if level != 1 {
			var err error
			if steel, err = share(level * i.current); err != nil {
				return fmt.Errorf("the coil at %g of its full level: %w", level, err)
			}
		}
		b := per + steel.B(at).Z
		i.Levels = append(i.Levels, LevelGain{Level: level, Current: level * i.current, Field: b * level * i.current, Share: b / full})
	}
	sort.Slice(i.Levels, func(a, b int) bool { return i.Levels[a].Current < i.Levels[b].Current })
	return nil
}

// Effective is the current in amperes that would make a pixel's field at the fluid by
// the field per ampere at full level: the current itself where that is all the same,
// otherwise the current times its Share, a straight line between the currents of
// Levels and level beyond them.
func (i *Iron) Effective(current float64) float64 { return current * i.Share(current) }

func (i *Iron) Share(current float64) float64 {
	n := len(i.Levels)
	if n == 0 {
		return 1
	}
	k := sort.Search(n, func(k int) bool { return i.Levels[k].Current >= current })
	switch {
	case k == 0:
		return i.Levels[0].Share
	case k == n:
		return i.Levels[n-1].Share
	}
	a, b := i.Levels[k-1], i.Levels[k]
	f := (current - a.Current) / (b.Current - a.Current)
	return a.Share + f*(b.Share-a.Share)
}
