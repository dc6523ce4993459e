package supply

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"lodegrid/field"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

// Kind names a case a supply may be sized for.
type Kind string

// The cases.
const (
	Scene Kind = "scene"             // mean over the scene as it is played
	Frame Kind = "worst frame"       // the frame of the scene that draws most
	Legal Kind = "worst legal frame" // the worst frame the firmware lets through
	AllOn Kind = "all on"            // every pixel at full level
)

// Draw is what the grid takes from one rail, at the board.
type Draw struct {
	Kind      Kind
	Average   float64 // A
	RMS       float64 // A
	Peak      float64 // A, at any instant
	PhasePeak float64 // A, switched on together: one stagger phase, one row, one kick; 0 = Peak
	Period    float64 // s, in which the current repeats: PWM period or scan
}

// Params says what is given.
type Params struct {
	Sort    Sort    // of supply; empty = Usual
	Voltage float64 // V, at the board
	// Tolerance is how far the supply's voltage may be off either way, 0…1: all is sized for
	// the high end, where the current grows with the voltage and the power with its square.
	Tolerance float64
	Draws     []Draw // the cases, each kind once
	Basis     Kind   // the case to size for; empty = the one with the greatest average

	Derating     float64 // 0…1, share of a rating used continuously; 0 = 0.8
	Efficiency   float64 // 0…1, of the supply; 0 = 0.85
	Droop        float64 // V, allowed on the rail; 0 = 2 % of Voltage
	ESR          float64 // Ω, series resistance of the bulk capacitors together
	ResponseTime float64 // s, until the supply follows a step; 0 = 1 ms
	FeederLength float64 // m, one way
	FeederDrop   float64 // V, allowed in the feeders; 0 = FeederShare of Voltage
	Ambient      float64 // K, along the feeders; 0 = 303.15
	Contact      float64 // A, that one contact of the board's connector bears; 0 = none chosen

	// Rated is the rating in watts of the supply on hand, 0 = none.
	Rated float64
	// Power, if given, is what the basis draws with all levels scaled by 0…1, W; it
	// serves to find the dimming that the supply on hand needs.
	Power func(scale float64) (float64, error)
}

// Sized is the supply for one case.
type Sized struct {
	Draw   Draw
	Need   Figure // W at the supply's terminals
	Rung   Rung
	Rating Figure // W
}

// Proposal is what to buy and why.
type Proposal struct {
	Basis Kind
	Cases []Sized // in the order given

	Voltage     Figure // V, nominal
	Power       Figure // W, rating of one supply
	Supplies    Figure // how many
	Input       Figure // W from the mains, together
	SupplyHeat  Figure // W, in the supplies together
	Capacitance Figure // F, least, at the board; +Inf when none is enough
	Capacitor   Figure // F, next usual value
	CapVoltage  Figure // V, rating of the capacitors
	Ripple      Figure // A RMS, through the capacitors
	InrushTime  Figure // s, charging the capacitors at the supply's rated current
	Limiter     Figure // Ω, in series while they charge, that keeps the inrush within the supply's own limit
	InrushPeak  Figure // A, when charged capacitors are plugged to a running supply
	CapEnergy   Figure // J
	ESRLimit    Figure // Ω, series resistance above which no capacitance is enough
	Feeder      Feeder // of one supply
	Area        Figure // m², cross-section of one feeder conductor
	Runs        Figure // feeder pairs per supply
	Drop        Figure // V
	FeederHeat  Figure // W, in all feeders
	FeederTemp  Figure // K
	Fuse        Figure // A, per feeder pair
	Contacts    Figure // per lead of a feeder pair; Value 0 when none is chosen

	Load     Figure // share of the derated rating on hand that the basis takes; Value 0 when none is on hand
	Dimming  Figure // scale of all levels that the supply on hand bears
	Cautions []string
}

// Need is the power in watts that the basis asks of the supply.
func (p *Proposal) Need() float64 {
	for _, c := range p.Cases {
		if c.Draw.Kind == p.Basis {
			return c.Need.Value
		}
	}
	return 0
}

// Figures returns the figures in the order of a report; those that do not apply are
// left out.
func (p *Proposal) Figures() []Figure {
	var out []Figure
	for _, f := range []Figure{
		p.Voltage, p.Power, p.Supplies, p.Input, p.SupplyHeat, p.Capacitance, p.Capacitor, p.CapVoltage, p.ESRLimit, p.Ripple,
		p.CapEnergy, p.InrushTime, p.Limiter, p.InrushPeak, p.Area, p.Runs, p.Drop, p.FeederHeat, p.FeederTemp, p.Fuse, p.Contacts, p.Load, p.Dimming,
	} {
		if f.Name != "" {
			out = append(out, f)
		}
	}
	return out
}

func (p *Params) defaults() {
	def := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	def(&p.Derating, 0.8)
	def(&p.Efficiency, 0.85)
	def(&p.Droop, 0.02*p.Voltage)
	def(&p.ResponseTime, 1e-3)
	def(&p.FeederDrop, FeederShare*p.Voltage)
	def(&p.Ambient, capacityAmbient)
	for i := range p.Draws {
		d := &p.Draws[i]
		d.PhasePeak = cmp.Or(d.PhasePeak, d.Peak)
	}
}

// basis returns the index of the draw to size for.
func (p *Params) basis() int {
	best := 0
	for i, d := range p.Draws {
		if d.Kind == p.Basis {
			return i
		}
		if d.Average > p.Draws[best].Average {
			best = i
		}
	}
	return best
}

// Propose sizes the supply side of one rail. Its errors are *param.Error.
func Propose(ctx context.Context, p Params) (*Proposal, error) {
	p.Draws = append([]Draw(nil), p.Draws...)
	p.defaults()
	base := p.basis()
	volts, usual := p.Sort.nominal(p.Voltage)
	out := &Proposal{Basis: p.Draws[base].Kind}
	out.Voltage = Figure{"supply_v", "supply voltage", volts, "V", fmt.Sprintf("lowest usual voltage not below the board's %s V (common practice, no source)", quantity.Figure(p.Voltage, 4))}
	if !usual {
		out.Voltage.Why = fmt.Sprintf("the board's own: no usual supply gives more than %g V (common practice, no source)", p.highest())
	}
	for _, d := range p.Draws {
		s := p.size(d, volts)
		out.Cases = append(out.Cases, s)
	}
	s := out.Cases[base]
	for _, i := range []*float64{&s.Draw.Average, &s.Draw.RMS, &s.Draw.Peak, &s.Draw.PhasePeak} {
		*i *= 1 + p.Tolerance // in feeders, fuses and capacitors, too
	}
	out.Power = s.Rating
	out.Supplies = Figure{"supplies", "number of supplies", float64(s.Rung.Count), "", fmt.Sprintf("%s W needed, %s W the greatest rating usual at %g V", quantity.Figure(s.Need.Value/p.Derating, 4), quantity.Figure(p.greatest(volts), 4), volts)}
	if s.Rung.Count == 1 {
		out.Supplies.Why = "one is enough: " + out.Supplies.Why
	}
	if err := p.feeders(out, s); err != nil {
		return nil, err
	}
	p.capacitors(out, s)
	p.mains(out, s)
	if err := p.onHand(ctx, out, s); err != nil {
		return nil, err
	}
	p.caution(out, s)
	return out, nil
}

// highest is the highest voltage sold.
func (p *Params) highest() float64 {
	l := p.Sort.Voltages()
	return l[len(l)-1]
}

// greatest is the greatest rating sold at a voltage.
func (p *Params) greatest(volts float64) float64 {
	l := p.Sort.Powers(volts)
	return l[len(l)-1]
}

// FeederShare is the share of the voltage that feeders may drop, unless told otherwise.
const FeederShare = 0.03

// AtTerminals is what a watt on the board's rail asks of the supply's terminals, W: the
// feeders' usual drop on top, and where the voltage may be high by tolerance (0…1) the
// current with it.
func AtTerminals(tolerance float64) float64 {
	return (1 + FeederShare) * (1 + tolerance) * (1 + tolerance)
}

// watts is what a mean current at the board asks of the supply's terminals, W: the feeders'
// drop on top, and where the voltage may be high the current with it.
func (p *Params) watts(amperes float64) float64 {
	return (p.Voltage + p.FeederDrop) * amperes * (1 + p.Tolerance) * (1 + p.Tolerance)
}

// Rate is the supply that carries a mean current at the board, in amperes, reckoned as Propose does.
func (p Params) Rate(amperes float64) Rung {
	p.Draws = []Draw{{Kind: Frame, Average: amperes, RMS: amperes, Peak: amperes}}
	p.defaults()
	volts, _ := p.Sort.nominal(p.Voltage)
	return p.Sort.Rate(volts, p.watts(amperes), p.Derating)
}

// Carries is how many of so many pixels usable watts of a supply carry when each draws a
// share of what it does in the case of all on; all of them where that is nothing.
func (p *Proposal) Carries(usable float64, pixels int, share float64) int {
	for _, c := range p.Cases {
		if need := c.Need.Value * share; c.Draw.Kind == AllOn && need > 0 {
			return int(min(usable/need, 1) * float64(pixels))
		}
	}
	return pixels
}

// size picks the rung for one case.
func (p *Params) size(d Draw, volts float64) Sized {
	need := p.watts(d.Average)
	rung := p.Sort.Rate(volts, need, p.Derating)
	why := fmt.Sprintf("(V + feeder drop) I_avg = (%s V + %s V) × %s A; %s", quantity.Figure(p.Voltage, 4), quantity.Figure(p.FeederDrop, 4), quantity.Figure(d.Average, 4), d.Kind)
	if p.Tolerance > 0 {
		why += fmt.Sprintf("; × (1 + %s)² where the voltage is high", quantity.Figure(p.Tolerance, 3))
	}
	rating := fmt.Sprintf("next usual rating from %s W / %s derating = %s W", quantity.Figure(need, 4), quantity.Figure(p.Derating, 4), quantity.Figure(need/p.Derating, 4))
	if rung.Count > 1 {
		rating = fmt.Sprintf("next usual rating from %s W / %s derating / %d supplies = %s W", quantity.Figure(need, 4), quantity.Figure(p.Derating, 4), rung.Count, quantity.Figure(need/p.Derating/float64(rung.Count), 4))
	}
	return Sized{
		Draw: d, Rung: rung,
		Need:   Figure{"need_w", "power needed, " + string(d.Kind), need, "W", why},
		Rating: Figure{"rating_w", "supply rating, " + string(d.Kind), rung.Power, "W", rating + " (ladder: common practice, no source)"},
	}
}

func (p *Params) feeders(out *Proposal, s Sized) error {
	n := float64(s.Rung.Count)
	i := s.Draw.RMS / n
	f, err := ChooseFeeder(i, p.FeederLength, p.FeederDrop, p.Ambient)
	if err != nil {
		return err
	}
	out.Feeder = f
	capacity := f.Capacity * CapacityFactor(p.Ambient)
	out.Area = Figure{"feeder_m2", "feeder cross-section", f.Area, "m²", fmt.Sprintf(
		"%s mm², the thinnest nominal size (IEC 60228) with %s A capacity ≥ its %s A fuse and a drop within %s V at %s A; capacity %s A at 30 °C × √((70 − %s)/40) (DIN VDE 0298-4 as quoted by secondary sources, for guidance)",
		quantity.Figure(f.Area*1e6, 4), quantity.Figure(capacity, 4), quantity.Figure(f.Fuse, 4), quantity.Figure(p.FeederDrop, 4), quantity.Figure(f.Current, 4), quantity.Figure(f.Capacity, 4), quantity.Figure(p.Ambient-field.ZeroCelsius, 4))}
	out.Runs = Figure{"feeder_pairs", "feeder pairs per supply", float64(f.Runs), "", fmt.Sprintf("%s A RMS per supply, %s A per pair", quantity.Figure(i, 4), quantity.Figure(f.Current, 4))}
	out.Drop = Figure{"feeder_drop_v", "feeder drop", f.Drop, "V", fmt.Sprintf(
		"2 ℓ r I = 2 × %s m × %s mΩ/m × (1 + %s × (%s − 20)) × %s A", quantity.Figure(p.FeederLength, 4), quantity.Figure(f.Resistance*1e3, 4), quantity.Figure(material.AnnealedCopper.TempCoefficient, 5), quantity.Figure(f.Temperature-field.ZeroCelsius, 4), quantity.Figure(f.Current, 4))}
	out.FeederHeat = Figure{"feeder_heat_w", "feeder heat", f.Loss * float64(f.Runs) * n, "W", fmt.Sprintf("I ΔV = %s A × %s V × %s", quantity.Figure(f.Current, 4), quantity.Figure(f.Drop, 4), quantity.Count(f.Runs*s.Rung.Count, "pair"))}
	out.FeederTemp = Figure{"feeder_conductor_k", "feeder conductor", f.Temperature, "K", fmt.Sprintf(
		"ambient + 40 K (I/I_z)² = %s K + 40 K × (%s A / %s A)²", quantity.Figure(p.Ambient, 4), quantity.Figure(f.Current, 4), quantity.Figure(f.Capacity, 4))}
	out.Fuse = Figure{"fuse_a", "fuse per feeder pair", f.Fuse, "A", fmt.Sprintf(
		"next usual rating from %s × %s A = %s A (common practice, no source; ladder R10, from memory)", quantity.Figure(FuseMargin, 4), quantity.Figure(f.Current, 4), quantity.Figure(FuseMargin*f.Current, 4))}
	if p.Contact > 0 {
		out.Contacts = Figure{"contacts", "contacts per lead", math.Ceil(f.Fuse / p.Contact * (1 - 1e-12)), "", fmt.Sprintf(
			"its fuse over what a contact bears = %s A / %s A: the fuse opens before they are too hot", quantity.Figure(f.Fuse, 4), quantity.Figure(p.Contact, 4))}
	}
	return nil
}

const bulkKey, bulkName = "bulk_capacitance_f", "bulk capacitance"

func (p *Params) capacitors(out *Proposal, s Sized) {
	d := s.Draw
	if most := math.Max(d.PhasePeak, d.Average); most > 0 {
		out.ESRLimit = Figure{"capacitor_esr_limit_ohm", "series resistance of the capacitors, limit", p.Droop / most, "Ω", fmt.Sprintf(
			"ΔV/I = %s V / %s A; switched on together; half of it leaves half the droop to the charge", quantity.Figure(p.Droop, 4), quantity.Figure(most, 4))}
		if p.ESR >= out.ESRLimit.Value {
			out.Capacitance = Figure{bulkKey, bulkName, math.Inf(1), "F", fmt.Sprintf("I ESR = %s A × %s Ω is not below ΔV = %s V", quantity.Figure(most, 4), quantity.Figure(p.ESR, 4), quantity.Figure(p.Droop, 4))}
			return // a caution says what to do
		}
	}
	charge := BurstCharge(d.Average, d.Peak, d.Period)
	burst := charged(charge, d.PhasePeak*p.ESR, p.Droop)
	step := BulkCapacitance(d.Average, p.ResponseTime, p.Droop, p.ESR)
	c := Figure{Key: bulkKey, Name: bulkName, Unit: "F"}
	if burst > step {
		c.Value = burst
		c.Why = fmt.Sprintf("I_avg (1 − I_avg/I_peak) T/(ΔV − I_phase ESR) = %s A × (1 − %s A / %s A) × %s s / (%s V − %s A × %s Ω); the greatest charge drawn above the mean is %s C",
			quantity.Figure(d.Average, 4), quantity.Figure(d.Average, 4), quantity.Figure(d.Peak, 4), quantity.Figure(d.Period, 4), quantity.Figure(p.Droop, 4), quantity.Figure(d.PhasePeak, 4), quantity.Figure(p.ESR, 4), quantity.Figure(charge, 4))
	} else {
		c.Value = step
		c.Why = fmt.Sprintf("I Δt/(ΔV − I ESR) = %s A × %s s / (%s V − %s A × %s Ω); a dark picture turns into this one and the supply takes that long to follow (response time: common practice, no source)",
			quantity.Figure(d.Average, 4), quantity.Figure(p.ResponseTime, 4), quantity.Figure(p.Droop, 4), quantity.Figure(d.Average, 4), quantity.Figure(p.ESR, 4))
	}
	out.Capacitance = c
	if c.Value == 0 {
		c.Why = "nothing is drawn"
		out.Capacitance = c
		return
	}
	nominal := nextDecade(usualCapacitances, c.Value)
	out.Capacitor = Figure{"capacitors_f", "capacitors, together", nominal, "F", fmt.Sprintf("next value of the E6 series from %s F; split it over the board, near the drivers", quantity.Figure(c.Value, 4))}
	v := out.Voltage.Value * (1 + p.Tolerance)
	rated, ok := next(capacitorVoltages, 1.2*v)
	if ok {
		out.CapVoltage = Figure{"capacitor_rating_v", "capacitor voltage rating", rated, "V", fmt.Sprintf("next usual rating from 1.2 × %s V (common practice, no source)", quantity.Figure(v, 4))}
	}
	ripple := RippleRMS(d.RMS, d.Average)
	out.Ripple = Figure{"capacitor_ripple_a", "ripple current of the capacitors", ripple, "A", fmt.Sprintf(
		"√(I_rms² − I_avg²) = √((%s A)² − (%s A)²); the capacitors' ripple ratings must add up to more", quantity.Figure(d.RMS, 4), quantity.Figure(d.Average, 4))}
	out.CapEnergy = Figure{"capacitor_energy_j", "energy in the capacitors", nominal * v * v / 2, "J", fmt.Sprintf("C V²/2 = %s F × (%s V)² / 2", quantity.Figure(nominal, 4), quantity.Figure(v, 4))}
	rating := s.Rung.Total() / s.Rung.Voltage
	out.InrushTime = Figure{"charging_time_s", "charging time at the rated current", nominal * v / rating, "s", fmt.Sprintf(
		"C V/I = %s F × %s V / %s A; a supply that shuts down on overload must bear it for that long, dark", quantity.Figure(nominal, 4), quantity.Figure(v, 4), quantity.Figure(rating, 4))}
	ohms := p.ESR
	if f := out.Feeder; f.Current > 0 {
		ohms += f.Drop / f.Current / float64(f.Runs*s.Rung.Count)
	}
	if ohms > 0 {
		limit := Overload * rating
		if r := v/limit - ohms; r > 0 {
			out.Limiter = Figure{"inrush_limiter_ohm", "inrush limiter, cold", r, "Ω", fmt.Sprintf(
				"V/(limit) − feeders − ESR = %s V / (%s × %s A) − %s Ω; it must take %s J at once, C V²/2, whatever its resistance, and be bridged or hot before the picture starts", quantity.Figure(v, 4), quantity.Figure(Overload, 3), quantity.Figure(rating, 4), quantity.Figure(ohms, 4), quantity.Figure(nominal*v*v/2, 3))}
		}
		out.InrushPeak = Figure{"inrush_a", "inrush when plugged to a running supply", v / ohms, "A", fmt.Sprintf(
			"V/(feeders + ESR) = %s V / %s Ω; only as far as the supply's own output capacitors can give it: switch the supply on with the board connected, or limit the inrush", quantity.Figure(v, 4), quantity.Figure(ohms, 4))}
	}
}

func (p *Params) mains(out *Proposal, s Sized) {
	in := s.Need.Value / p.Efficiency
	out.Input = Figure{"mains_w", "power from the mains", in, "W", fmt.Sprintf("P/η = %s W / %s", quantity.Figure(s.Need.Value, 4), quantity.Figure(p.Efficiency, 4))}
	out.SupplyHeat = Figure{"supply_heat_w", "heat in the supplies", in - s.Need.Value, "W", fmt.Sprintf("P (1/η − 1) = %s W × (1 / %s − 1)", quantity.Figure(s.Need.Value, 4), quantity.Figure(p.Efficiency, 4))}
}

func (p *Params) onHand(ctx context.Context, out *Proposal, s Sized) error {
	if p.Rated == 0 {
		return nil
	}
	usable := p.Rated * p.Derating
	out.Load = Figure{LoadKey, "load of the supply on hand", s.Need.Value / usable, "", fmt.Sprintf(
		"needed / (rating × derating) = %s W / (%s W × %s)", quantity.Figure(s.Need.Value, 4), quantity.Figure(p.Rated, 4), quantity.Figure(p.Derating, 4))}
	if p.Power == nil {
		return nil
	}
	// The limit holds at the supply's terminals, power at the board.
	limit := usable * p.Voltage / p.watts(1)
	dim, err := Dim(ctx, limit, p.Power)
	if err != nil {
		return err
	}
	dim.Why += fmt.Sprintf("; limit = rating × derating × V/(V + feeder drop) = %s W × %s × %s/%s", quantity.Figure(p.Rated, 4), quantity.Figure(p.Derating, 4), quantity.Figure(p.Voltage, 4), quantity.Figure(p.Voltage+p.FeederDrop, 4))
	if p.Tolerance > 0 {
		dim.Why += fmt.Sprintf(" / (1 + %s)²", quantity.Figure(p.Tolerance, 3))
	}
	out.Dimming = dim
	return nil
}

func (p *Params) caution(out *Proposal, s Sized) {
	say := func(format string, args ...any) { out.Cautions = append(out.Cautions, fmt.Sprintf(format, args...)) }
	say("Mains side: wiring, protection and earthing are a matter for local codes and a licensed electrician. Buy a supply certified for your country, and open nothing that is on the mains.")
	say("Put each fuse at the supply's end of its feeder. A supply gives little more than its rating into a short circuit, so a fuse rated close to the supply's own current may not open: rely on the supply's own protection too.")
	if v := out.Voltage.Value; v > p.highest() {
		say("No usual supply gives %s V; the ratings here are as if one did. Ask for an adjustable one, or design for %g V or less.", quantity.Figure(v, 4), p.highest())
	}
	if p.Tolerance > 0 {
		say("At %s V, the low end of what the supply may give, the pull is up to %s %% less: judge the design with supply.voltage = \"%s V\", too.", quantity.Figure(p.Voltage*(1-p.Tolerance), 4), quantity.Figure(100*(1-(1-p.Tolerance)*(1-p.Tolerance)), 3), quantity.Figure(p.Voltage*(1-p.Tolerance), 4))
	}
	if p.Sort == USBPD {
		p.cautionUSB(out, s, say)
	}
	if p.Voltage > HighestVoltage {
		say("Over %g V direct current, touching a conductor is no longer taken to be safe: cover every part of the board that carries the rail, and ask a licensed electrician what your local code wants.", HighestVoltage)
	}
	if s.Rung.Count > 1 {
		say("%d supplies: give each its own section of the grid and join only their negative leads. Outputs in parallel fight unless made for it.", s.Rung.Count)
	}
	if out.Feeder.Runs > 1 {
		say("%d feeder pairs per supply: fuse each, and split the board's sections between them.", out.Feeder.Runs)
	}
	if v := out.Voltage.Value; v > p.Voltage*1.02 {
		say("A usual supply gives %s V where the design has %s V: trim it down, or set the design's voltage to %s V and look at current and heat again.", quantity.Figure(v, 4), quantity.Figure(p.Voltage, 4), quantity.Figure(v, 4))
	}
	if trim := (p.Voltage + out.Drop.Value) / out.Voltage.Value; trim > 1.005 {
		board, drop := quantity.Figure(p.Voltage, 4), quantity.Figure(out.Drop.Value, 3)
		if p.Sort == USBPD {
			say("A port's %s V cannot be trimmed: the feeders' drop of %s V is missing at the board. Take thicker or shorter ones, or look at hold and field again with %s V.", board, drop, quantity.Figure(p.Voltage-out.Drop.Value, 4))
		} else {
			say("For %s V at the board the supply must be trimmed to %s V (feeders drop %s V).", board, quantity.Figure(p.Voltage+out.Drop.Value, 4), drop)
		}
	}
	if out.Load.Value > 1 {
		say("The supply on hand (%s W) is loaded to %.0f %% of what it should give continuously.", quantity.Figure(p.Rated, 4), 100*out.Load.Value)
	}
	if out.ESRLimit.Name != "" && p.ESR >= out.ESRLimit.Value {
		say("No capacitance is enough: %s Ω of series resistance alone lets the rail fall by more than %s V. Take capacitors of less than %s Ω together, more of them, or stagger the pixels.", quantity.Figure(p.ESR, 4), quantity.Figure(p.Droop, 4), quantity.Figure(out.ESRLimit.Value, 3))
	}
	if out.CapEnergy.Value > 10 {
		say("The capacitors keep %s J: let them discharge before touching the board with tools.", quantity.Figure(out.CapEnergy.Value, 3))
	}
	for _, c := range out.Cases {
		if c.Rung.Total() > s.Rung.Total() && c.Draw.Kind != out.Basis {
			say("Sized for %s. %s needs %d × %s W: the firmware must make sure that it never comes.", out.Basis, c.Draw.Kind, c.Rung.Count, quantity.Figure(c.Rung.Power, 4))
		}
	}
}

// cautionUSB says what a port of USB Power Delivery asks of a board.
func (p *Params) cautionUSB(out *Proposal, s Sized, say func(format string, args ...any)) {
	say("USB Power Delivery gives 5 V until a part on the board has asked for %s V and got it: keep every driver off until then, and when a port offers less.", quantity.Figure(p.Voltage, 4))
	if s.Rung.Power > 3*s.Rung.Voltage*(1+1e-9) {
		say("More than 3 A takes a cable marked for 5 A; without one the port gives %s W.", quantity.Figure(3*s.Rung.Voltage, 4))
	}
	if c := out.Capacitor.Value; c > MostUSB {
		say("A port bears %s µF behind it at 5 V and %s µF once a voltage is agreed; the capacitors here are %s µF. Let a switch with a soft start charge them, over %s ms or longer, or need less: see lodegrid supply.", quantity.Figure(portCapacitance*1e6, 3), quantity.Figure(MostUSB*1e6, 3), quantity.Figure(c*1e6, 4), quantity.Figure(1e3*out.InrushTime.Value, 3))
	}
}
