package faults

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"lodegrid/array/cooling"
	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
	"lodegrid/scenes/table"
)

// Study is what each fault does to a display, and the parts that catch it.
type Study struct {
	Faults    []Fault
	Parts     Parts
	Guarantee Guarantee
}

// Guarantee is what the firmware must guarantee so that no more than Faults happens.
type Guarantee struct {
	MostLit int // pixels at full level at once that the supply carries
	// Kicked is how many pixels are kicked at once at most, 0 where none is. It bounds the
	// start of a picture: whatever comes on together beyond it is kicked later.
	Kicked int
	Start  float64 // s, until the scene's fullest frame is on when the display is switched on in it
	// LongestOn is how long any pixel may be switched fully on, kicked or not, s; +Inf
	// where it may stay on.
	LongestOn float64
	Watchdog  float64 // s, without a sign of life, after which the rail is to be off
}

// Sound is how soon limits.board and limits.touch are passed without a fault, s: 0 where the scene
// does by itself, else +Inf.
func (x *Study) Sound() (board, touch float64) {
	board, touch = math.Inf(1), math.Inf(1)
	for _, f := range x.Faults {
		if f.Heats && f.Course.ToBoard == 0 {
			board = 0
		}
		if f.Heats && f.Course.ToTouch == 0 {
			touch = 0
		}
	}
	return board, touch
}

// Bound is a drive within the guarantee, for the binary frame table; as it is where the
// faults are not known (nil).
func (x *Study) Bound(d table.Drive) table.Drive {
	if x != nil {
		d.MostLit, d.MostKicked, d.LongestOn, d.Watchdog = x.Guarantee.MostLit, x.Guarantee.Kicked, x.Guarantee.LongestOn, x.Guarantee.Watchdog
	}
	return d
}

// String is the guarantee as the one line that a frame table carries.
func (g Guarantee) String() string {
	on := "as long as it likes"
	switch {
	case g.LongestOn == 0:
		on = "never: the scene by itself passes the board's limit"
	case !math.IsInf(g.LongestOn, 1):
		on = fmt.Sprintf("%s s at most", quantity.Figure(g.LongestOn, 3))
	}
	kicked := ""
	if g.Kicked > 0 {
		kicked = fmt.Sprintf("kicked at once: %s at most, the others that come on with them dark until their turn; ", quantity.Count(g.Kicked, "pixel"))
	}
	return fmt.Sprintf("at full level at once: %s at most; "+kicked+"a pixel switched fully on: %s; rail switched off by hardware: %s s without a sign of life", quantity.Count(g.MostLit, "pixel"), on, quantity.Figure(g.Watchdog, 3))
}

// study is the work on a display.
type study struct {
	*warm
	grid    *grid.Grid
	scene   scenes.Scene
	parts   Parts
	mean    float64                      // A, that the scene draws of the main rail
	peak    float64                      // A, in the frame that draws most
	pixel   int                          // that faults strike: the hottest of the scene
	string  []int                        // it and what is in series with it
	rail    float64                      // V, of the rail that a pixel is switched to at most
	ohms    func(kelvin float64) float64 // Ω, of the struck pixel with what leads to it
	led     []float64                    // each pixel's over the struck one's at one temperature
	kicked  bool                         // there is a kick rail of its own,
	kick    *supply.Proposal             // with this supply
	held    float64                      // of the case of all on, what is drawn once no pixel is kicked
	fullest int                          // pixels lit at most in a frame
	drive   *drive.Drive
	circuit drive.Circuit
}

// Find works out every fault of a display that plays a looping scene, whose ledger and
// proposed supply are given. The player is not touched. The error is that of player.Mean.
func Find(ctx context.Context, p *player.Player, s scenes.Scene, l *player.Ledger, proposal *supply.Proposal) (*Study, error) {
	x, err := newStudy(ctx, p, s, l, proposal)
	if err != nil {
		return nil, err
	}
	out := &Study{}
	for _, find := range []func(context.Context) ([]Fault, error){x.shorts, x.stuck, x.lines, x.losses, x.hung, x.surroundings} {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		list, err := find(ctx)
		if err != nil {
			return nil, err
		}
		out.Faults = append(out.Faults, list...)
	}
	for i := range out.Faults {
		f := &out.Faults[i]
		x.parts.blow(f)
		x.parts.catch(f)
	}
	out.Parts = x.parts
	out.Guarantee = x.guarantee(out.Faults, proposal)
	return out, nil
}

func newStudy(ctx context.Context, p *player.Player, s scenes.Scene, l *player.Ledger, proposal *supply.Proposal) (*study, error) {
	d, z := p.Grid().Design, l.Summary()
	own, err := p.With(func(*design.Design) {})
	if err != nil {
		return nil, err
	}
	mean, err := own.Mean(ctx, s)
	if err != nil {
		return nil, fmt.Errorf("looking for faults: %w", err)
	}
	w := &warm{
		player: own, state: mean.State(), watts: mean.Watts, turns: mean.Turns, board: mean.Layers[cooling.BoardLayer],
		boardLim: d.Limits.Board, skin: d.Limits.Touch,
	}
	x := &study{warm: w, grid: own.Grid(), scene: s, mean: z.AverageCurrent, held: 1, fullest: z.MostLit, rail: d.Supply.Voltage, drive: own.Drives()}
	if d.Drive.Mode == design.DriveKick || d.Drive.Mode == design.DriveScan {
		x.rail = d.Drive.KickVoltage
	}
	if z.HottestPixel >= 0 {
		x.pixel = floats.MaxIdx(w.turns)
	} else {
		x.pixel = own.Middle()
	}
	cold, err := x.grid.Resistances(field.RoomTemperature)
	if err != nil {
		return nil, err
	}
	coil := x.grid.Pixel.Coil
	struck := cold[x.pixel]
	x.ohms = func(kelvin float64) float64 {
		return struck / coil.Resistance(field.RoomTemperature) * coil.Resistance(kelvin)
	}
	for _, r := range cold {
		x.led = append(x.led, r/struck)
	}
	alone, err := studies.DriveFrame(x.grid, scenes.Frame{Levels: studies.AllOn(x.grid), Duration: s.Frames[0].Duration})
	if err != nil {
		return nil, err
	}
	place := own.Middle()
	x.parts = Parts{
		Main:      railOf(proposal, x.grid.Design.Rail(), d.Supply.Power),
		PixelPeak: alone.Peak, PixelRMS: alone.RMS, DriverLimit: limitMargin * alone.Peak,
		Place: place, Usual: w.board[place], LeastRail: d.Supply.Voltage - d.Supply.Droop,
	}
	if x.kick, _, err = studies.KickSizing(ctx, x.grid, s, l); err != nil {
		return nil, err
	}
	if x.kicked = x.kick != nil; x.kicked {
		x.parts.Kick = railOf(x.kick, d.Drive.KickVoltage, 0)
	}
	if rating, ok := supply.FuseFor(alone.RMS); ok {
		x.parts.PixelFuse = rating
	}
	x.parts.CutOut = cutOutFor(w.board[place], field.ZeroCelsius)
	w.setting = x.parts.CutOut
	for _, c := range proposal.Cases {
		if c.Draw.Kind == supply.Frame {
			x.peak = c.Draw.Average
		}
	}
	if d.Drive.Mode == design.DriveKick && !x.kicked {
		ohms, err := x.grid.Resistances(d.Heat.AmbientLow)
		if err != nil {
			return nil, err
		}
		states := make([]drive.PixelState, d.Pixels())
		if err := x.drive.Steady(states, studies.AllOn(x.grid), ohms); err != nil {
			return nil, fmt.Errorf("looking for faults: %w", err)
		}
		sum := 0.0
		for _, s := range states {
			sum += s.RailAverage
		}
		for _, c := range proposal.Cases {
			if c.Draw.Kind == supply.AllOn && c.Draw.Average > 0 {
				x.held = sum / c.Draw.Average
			}
		}
	}
	x.circuit = x.drive.Boosted(x.pixel, 1, x.ohms(field.RoomTemperature))
	from, to := d.String(x.pixel)
	for k := from; k < to; k++ {
		x.string = append(x.string, k)
	}
	x.circuit.Voltage = x.rail / x.coils()
	return x, nil
}

// railOf is what stands behind a rail: the supply on hand in watts, or where that is 0 the
// one proposed.
func railOf(p *supply.Proposal, volts, onHand float64) Rail {
	r := Rail{Voltage: volts, Rating: onHand, Fuse: p.Fuse.Value, Feeders: p.Feeder.Runs * int(p.Supplies.Value)}
	if r.Rating == 0 {
		r.Rating = p.Power.Value * p.Supplies.Value
	}
	r.Limit = supply.Overload * r.Rating / volts
	return r
}

// coils is how many are in series on an output.
func (x *study) coils() float64 { return float64(len(x.string)) }

// drawn is the current that pixels take from the rail in the scene on the average, A.
func (x *study) drawn(pixels []int) float64 {
	sum := 0.0
	for _, k := range pixels {
		sum += x.watts[k]
	}
	return sum * (1 + x.circuit.OnResistance/x.warmOhms()) / x.grid.Design.Rail()
}

// curve tabulates the heat of the struck coil in watts by its resistance.
func (x *study) curve(watts func(ohms float64) float64) curve {
	return x.tabled(func(kelvin float64) float64 { return watts(x.ohms(kelvin)) })
}

// lit is the curve of the struck coil at full level.
func (x *study) lit() curve {
	law := drive.PowerLaw{Drive: x.drive, Pixel: x.pixel, Level: 1, Resistance20: x.ohms(field.RoomTemperature), Alpha: copper}
	return x.tabled(func(kelvin float64) float64 { w, _ := law.At(kelvin); return w })
}

// tabled is a curve of the struck coil over what any coil's resistance may come to.
func (x *study) tabled(watts func(kelvin float64) float64) curve {
	n := x.player.Network().Params()
	low, _ := asWarm(n.Ambient-20, slices.Min(x.led))
	high, _ := asWarm(n.Ceiling+200, slices.Max(x.led))
	return newCurve(low, high, watts)
}

// alwaysOn is the heat of a coil of a resistance that stays switched on to the highest rail.
func (x *study) alwaysOn(ohms float64) float64 {
	c := x.circuit
	c.Resistance = ohms
	i := c.FinalCurrent()
	return i*i*ohms + i*c.PathDrop
}

// onCurrent is the current of a coil that stays switched on, as warm as the scene makes it.
func (x *study) onCurrent() float64 {
	c := x.circuit
	c.Resistance = x.warmOhms()
	return c.FinalCurrent()
}

func (x *study) warmOhms() float64 { return x.ohms(x.turns[x.pixel]) }

// heated follows the temperatures with pixels of their own heat, as far as the supply
// gives the current that is asked for. A supply held at its limit is taken to give its
// whole power whatever its voltage falls to, which heats most, and no more than its
// current, which opens no fuse.
func (x *study) heated(ctx context.Context, f *Fault, faulty []int, own curve) error {
	return x.heatedBeside(ctx, f, faulty, own, x.watts)
}

// heatedBeside is heated with another heat of the other pixels, W.
func (x *study) heatedBeside(ctx context.Context, f *Fault, faulty []int, own curve, base []float64) error {
	return x.heatedAs(ctx, f, faulty, nil, own, base)
}

// heatedAs is heatedBeside with the faulty pixels' heat scaled, each by its own factor.
func (x *study) heatedAs(ctx context.Context, f *Fault, faulty []int, scale []float64, own curve, base []float64) error {
	l := &load{base: base, faulty: faulty, scale: scale, led: x.led, own: own, most: math.Inf(1)}
	if rail := x.parts.of(f); !f.Strong && f.Asked > rail.Limit {
		f.Current, f.Held = rail.Limit, true
		f.Coil *= f.Current / f.Asked
		r := x.warmOhms()
		l.most = f.Current * rail.Voltage * r / (r + x.circuit.OnResistance)
	}
	place := x.parts.Place
	if f.Pixel >= 0 { // wherever it strikes: the farthest that a cut-out in the middle may be
		place = x.farthest(faulty[0])
	}
	f.Heats = true
	var err error
	f.Course, err = x.follow(ctx, x.player, l, place)
	return err
}

// farthest is a pixel half the board away from a pixel, as a cut-out in the middle is from
// a corner.
func (x *study) farthest(pixel int) int {
	g := x.grid.Design.Grid
	away := func(at, size int) int {
		if at < size/2 {
			return min(at+size/2, size-1)
		}
		return max(at-size/2, 0)
	}
	return away(pixel/g.Cols, g.Rows)*g.Cols + away(pixel%g.Cols, g.Cols)
}

// litTime is the share of the scene's time in which a pixel is lit.
func (x *study) litTime(pixel int) float64 {
	lit, total := 0.0, 0.0
	for _, f := range x.scene.Frames {
		total += f.Duration
		if f.Levels[pixel] != 0 {
			lit += f.Duration
		}
	}
	return lit / total
}

// guarantee is what the firmware must keep.
func (x *study) guarantee(list []Fault, proposal *supply.Proposal) Guarantee {
	d := x.grid.Design
	g := Guarantee{LongestOn: math.Inf(1), Watchdog: slowest}
	usable := x.parts.Main.Rating * d.UsableShare()
	whole := func(pixels int) int { return pixels - pixels%d.Coils() } // strings light together
	g.MostLit = whole(min(proposal.Carries(usable, d.Pixels(), x.held), d.Drive.MostLit))
	if d.Drive.Mode == design.DriveKick {
		if g.Kicked = proposal.Carries(usable, d.Pixels(), 1); x.kicked {
			g.Kicked = x.kick.Carries(x.parts.Kick.Rating*d.UsableShare(), d.Pixels(), 1)
		}
		if g.Kicked = whole(min(g.Kicked, g.MostLit)); g.Kicked > 0 {
			g.Start = d.Drive.KickTime * math.Ceil(float64(x.fullest)/float64(g.Kicked))
		}
	}
	for i := range list {
		f := &list[i]
		if f.Kind == SwitchStuck || f.Kind == PixelHung {
			g.LongestOn = often * f.Harm()
			if t := d.Drive.KickTime; d.Drive.Mode == design.DriveKick && t < f.Harm() {
				g.LongestOn = max(g.LongestOn, t) // the design's own kick, which the heat is judged with
			}
		}
		if f.Firmware() && f.Harm() > 0 {
			g.Watchdog = min(g.Watchdog, often*f.Harm())
		}
	}
	return g
}

// all lists every pixel.
func (x *study) all() []int {
	list := make([]int, x.grid.Design.Pixels())
	for i := range list {
		list[i] = i
	}
	return list
}
