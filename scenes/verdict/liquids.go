package verdict

import (
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/hold"
	"lodegrid/field"
	"lodegrid/scenes/player"
)

// Liquids are the fluid and the liquid round it at one temperature.
type Liquids struct {
	Fluid design.Fluid // at it
	// Hold is the least hold ratio of a lit pixel then; +Inf where a drop needs nothing.
	Hold float64
}

// liquids are the liquids in the coldest air, before the display warms them, and as warm as
// the warmest coil is on average over the scene: they are no warmer. ok is false for a scene
// that settles in no state.
func (x *played) liquids() (ends [2]Liquids, ok bool) {
	if x.ledger == nil {
		return ends, false
	}
	g := x.player.Grid()
	d := g.Design
	warmest := d.Heat.Ambient
	if len(x.ledger.PixelMean) > 0 {
		warmest = max(warmest, slices.Max(x.ledger.PixelMean))
	}
	pinned := 0.0
	if w := g.Weight().Value; w > 0 {
		pinned = g.Pinning().Value / w
	}
	for i, kelvin := range []float64{d.Heat.AmbientLow, warmest} {
		f := d.Fluid.At(kelvin)
		ends[i] = Liquids{Fluid: f, Hold: x.summary.LeastHold}
		if d.Heat.Orientation == design.Vertical && !math.IsInf(x.summary.LeastHold, 1) {
			pull := (x.summary.LeastHold - pinned) * hold.PullWith(g, f)
			ends[i].Hold = max(pull+pinned, 0) * math.Abs(d.Fluid.DensityDifference/f.DensityDifference)
		}
	}
	return ends, true
}

// growth is the share of the tank by which the liquids in it grow up to a temperature in
// kelvin, the fluid and what is round it as each does; that the tank grows too, by some
// 0.003 % a kelvin between panes of glass, is left out, to the safe side.
func (x *played) growth(kelvin float64) float64 {
	d, f := x.player.Grid().Design, player.FillOf(x.player.Grid(), x.scene)
	return (kelvin - d.Fluid.Temperature) * (d.Fluid.Expansion*f.Fluid() + d.Fluid.CarrierExpansion*f.Carrier()) / f.Inside
}

// Closed is the pressure of the air in the tank as warm as its liquids get, were it closed when it
// was filled, Pa: p₀ T V₀/(T₀ V), by Boyle, Mariotte and Gay-Lussac; +Inf where no room is left.
func (v *Verdict) Closed(d design.Design) float64 {
	left := d.Tank.Room - v.Grows
	if left <= 0 {
		return math.Inf(1)
	}
	return field.Atmosphere * v.Liquids[1].Fluid.Temperature / d.Fluid.Temperature * d.Tank.Room / left
}

// filled adds what the tank's filling breaks: fluid for the fullest picture, and room for the
// liquids to grow into.
func (x *played) filled(add func(Problem)) {
	g := x.player.Grid()
	if f := player.FillOf(g, x.scene); g.Design.Fluid.Volume > 0 && f.Short() {
		add(Problem{Limit: Filled, Value: f.Fluid(), Bound: f.Need, Pixel: -1, Frame: -1})
	}
	ends, ok := x.liquids()
	if grows, room := x.growth(ends[1].Fluid.Temperature), g.Design.Tank.Room; ok && grows > room {
		add(Problem{Limit: Room, Value: grows, Bound: room, Pixel: -1, Frame: -1})
	}
}

// filling is so much fluid, m³, rounded up.
func filling(volume float64) []design.Change {
	return []design.Change{{Key: string(Filled), Value: fmt.Sprintf("%.6g mL", math.Ceil(volume*1e8)/100)}}
}

// drifting adds what the liquids' temperature breaks: the hold, and which way drops go that
// are let go.
func (x *played) drifting(add func(Problem)) {
	ends, ok := x.liquids()
	d := x.player.Grid().Design
	if !ok || d.Heat.Orientation != design.Vertical {
		return
	}
	if h := min(ends[0].Hold, ends[1].Hold); x.summary.FailingPixels == 0 && h < d.Limits.Hold && h < (1-bowTold)*x.summary.LeastHold {
		add(Problem{Limit: Drift, Value: h, Bound: d.Limits.Hold, Pixel: -1, Frame: x.summary.LeastHoldFrame})
	}
	if t := turned(d.Fluid.DensityDifference, ends); t != 0 {
		add(Problem{Limit: Turned, Value: t, Bound: 0, Pixel: -1, Frame: -1})
	}
}

// turned is the difference of density at the end where its sign is not the design's, the
// farther where it is so at both, kg/m³; 0 where it keeps its sign.
func turned(difference float64, ends [2]Liquids) (worst float64) {
	for _, e := range ends {
		if v := e.Fluid.DensityDifference; v*difference < 0 && math.Abs(v) > math.Abs(worst) {
			worst = v
		}
	}
	return worst
}

// steadier are settings with which the liquids keep their sign, or the hold its limit: another
// difference of density, or liquids that expand more alike.
func (x *played) steadier(p Problem) [][]design.Change {
	ends, ok := x.liquids()
	d := x.player.Grid().Design
	f := d.Fluid
	if !ok || f.DensityDrift == 0 {
		return nil
	}
	far := ends[1].Fluid
	if p.Limit == Turned && ends[0].Fluid.DensityDifference == p.Value || p.Limit == Drift && ends[0].Hold < ends[1].Hold {
		far = ends[0].Fluid
	}
	drifts := far.DensityDifference - f.DensityDifference
	difference, drift := -1.1*drifts, -0.9*f.DensityDifference/drifts*f.DensityDrift
	if p.Limit == Drift {
		allowed := far.DensityDifference * p.Value / p.Bound
		difference, drift = 0.99*(allowed-drifts), 0.99*(allowed-f.DensityDifference)/drifts*f.DensityDrift
	}
	var sets [][]design.Change
	if round := math.Copysign(math.Ceil(math.Abs(difference)*10)/10, difference); p.Limit == Turned || round*f.DensityDifference > 0 {
		sets = append(sets, []design.Change{{Key: string(Turned), Value: fmt.Sprintf("%g kg/m3", round)}})
	}
	if drift*f.DensityDrift > 0 {
		sets = append(sets, []design.Change{{Key: string(Drift), Value: fmt.Sprintf("%.2g kg/m³/K", drift)}})
	}
	return sets
}
