package faults

import (
	"math"

	"lodegrid/array/supply"
)

// Rail is what stands behind a rail.
type Rail struct {
	Voltage float64 // V
	Rating  float64 // W, of its supplies together
	Limit   float64 // A, that their own limit holds
	Fuse    float64 // A, time-lag, of a feeder
	Feeders int     // pairs with a fuse each
}

// of is the rail that a fault draws from.
func (p *Parts) of(f *Fault) *Rail {
	if f.Kicked {
		return &p.Kick
	}
	return &p.Main
}

// Parts are the sizes of what catches faults in a display.
type Parts struct {
	Main, Kick  Rail    // Kick is zero without a kick rail of its own
	PixelFuse   float64 // A, quick-acting; 0 where none of its size is sold
	DriverLimit float64 // A, over the highest peak of a sound pixel
	PixelPeak   float64 // A, that peak
	PixelRMS    float64 // A
	CutOut      float64 // K, that a thermal cut-out is set to
	Place       int     // the pixel behind which it sits
	Usual       float64 // K, of the board there in the scene
	LeastRail   float64 // V at the board, below which a joint is loose
}

// The margins of what catches faults; common practice, no source.
const (
	limitMargin  = 1.3 // of a driver's limit over the highest sound peak
	cutOutMargin = 15  // K, of a cut-out over what is usual at its place
	cutOutStep   = 5   // K, between the settings sold
	often        = 0.5 // of the time to a limit: how often a look is taken, how long a watchdog waits
)

// cutOutFor is the setting of a cut-out at a place that is usually at a temperature, K.
func cutOutFor(usual, zero float64) float64 {
	return zero + cutOutStep*math.Ceil((usual+cutOutMargin-zero)/cutOutStep)
}

// blow fills in what a feeder's fuse does.
func (p *Parts) blow(f *Fault) {
	r := p.of(f)
	f.Ratio = f.Current / float64(r.Feeders) / r.Fuse
	f.Earliest, f.Latest = supply.TimeLag.Opens(f.Ratio)
}

// catch fills in the parts that may catch a fault.
func (p *Parts) catch(f *Fault) {
	harm := f.Harm()
	add := func(part Part, size, within float64) {
		f.Catches = append(f.Catches, Catch{part, size, within, harm > 0 && within <= harm && !math.IsInf(within, 1)})
	}
	fuse := func() { add(FeederFuse, p.of(f).Fuse, f.Latest) }
	check := func() {
		every := often * harm
		if math.IsInf(every, 1) {
			every = slowest
		}
		add(RailCheck, every, every)
	}
	cutOut := func() {
		if f.Heats {
			add(CutOut, p.CutOut, f.Course.ToCutOut)
		}
	}
	switch f.Kind {
	case TurnShorted, LayerShorted, CoilOpen, DriverDead, RowLoose:
		check()
	case CoilShorted:
		within := math.Inf(1)
		if f.Coil > p.DriverLimit {
			within = 0
		}
		add(DriverLimit, p.DriverLimit, within)
		check()
		fuse()
	case SwitchStuck:
		if p.PixelFuse > 0 {
			_, latest := supply.QuickActing.Opens(f.Coil / p.PixelFuse)
			add(PixelFuse, p.PixelFuse, latest)
		}
		check()
		cutOut()
		fuse()
	case DiodeShorted, RowShorted, ColumnShorted, RowsTouch, ColumnsTouch, LinesTouch:
		if f.Switch > p.DriverLimit {
			add(DriverLimit, p.DriverLimit, 0)
		}
		check()
		cutOut()
		fuse()
	case HungLit, HungOn, KickStuck, RowStuck, PixelHung:
		wait := min(often*harm, slowest)
		add(Watchdog, wait, wait)
		cutOut()
		fuse()
	case FanStopped:
		wait := min(often*harm, slowest)
		add(FanSensor, wait, wait)
		cutOut()
	case SupplyHigh:
		cutOut()
		fuse()
	case FeederLoose:
		add(UnderVoltage, p.LeastRail, 0)
		fuse()
	}
}

// slowest is how long a watchdog waits and a check may be away where nothing presses, s.
const slowest = 1
