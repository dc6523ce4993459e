package supply

import (
	"context"
	"fmt"
	"math"

	"lodegrid/field"
	"lodegrid/field/material"
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
	// Tolerance is how far the supply's voltage may be off either way, 0…1: it is sized for
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
	FeederDrop   float64 // V, allowed in the feeders; 0 = 3 % of Voltage
	Ambient      float64 // K, along the feeders; 0 = 303.15

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
		p.CapEnergy, p.InrushTime, p.Limiter, p.InrushPeak, p.Area, p.Runs, p.Drop, p.FeederHeat, p.FeederTemp, p.Fuse, p.Load, p.Dimming,
	} {
		if f.Name != "" {
			out = append(out, f)
		}
	}
	return out
}

func (p *Params) defaults() error {
	def := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	def(&p.Derating, 0.8)
	def(&p.Efficiency, 0.85)
	def(&p.Droop, 0.02*p.Voltage)
	def(&p.ResponseTime, 1e-3)
	def(&p.FeederDrop, 0.03*p.Voltage)
	def(&p.Ambient, capacityAmbient)
	for _, err := range []error{
		params.Positive("voltage", p.Voltage, "V"), share("derating", p.Derating), share("efficiency", p.Efficiency),
		params.Positive("droop", p.Droop, "V"), params.NotNegative("capacitor's series resistance", p.ESR, "Ω"),
		params.Positive("response time", p.ResponseTime, "s"), params.NotNegative("feeder_length", p.FeederLength, "m"),
		params.Positive("feeder drop", p.FeederDrop, "V"), params.Positive("ambient", p.Ambient, "K"), params.NotNegative("power", p.Rated, "W"),
	} {
		if err != nil {
			return err
		}
	}
	if p.Droop >= p.Voltage || p.FeederDrop >= p.Voltage {
		return params.Refuse("droop", math.Max(p.Droop, p.FeederDrop), "as much as the whole rail", fmt.Sprintf("well below %.4g V", p.Voltage))
	}
	if len(p.Draws) == 0 {
		return params.Refuse("draws", 0, "nothing to size a supply for", "at least one case")
	}
	for i := range p.Draws {
		d := &p.Draws[i]
		for _, err := range []error{
			params.NotNegative(string(d.Kind)+" average", d.Average, "A"), params.NotNegative(string(d.Kind)+" RMS", d.RMS, "A"),
			params.NotNegative(string(d.Kind)+" peak", d.Peak, "A"), params.NotNegative(string(d.Kind)+" phase peak", d.PhasePeak, "A"),
			params.NotNegative(string(d.Kind)+" period", d.Period, "s"),
		} {
			if err != nil {
				return err
			}
		}
		const slack = 1 + 1e-6
		if d.Average > d.RMS*slack || d.RMS > d.Peak*slack {
			return params.Refuse(string(d.Kind), fmt.Sprintf("average %.4g A, RMS %.4g A, peak %.4g A", d.Average, d.RMS, d.Peak),
				"no current can have these", "average ≤ RMS ≤ peak")
		}
		if d.PhasePeak == 0 {
			d.PhasePeak = d.Peak
		}
		for _, e := range p.Draws[:i] {
			if e.Kind == d.Kind {
				return params.Refuse("draws", d.Kind, "given twice", "each kind once")
			}
		}
	}
	return nil
}

// basis returns the index of the draw to size for.
func (p *Params) basis() (int, error) {
	best := 0
	for i, d := range p.Draws {
		if d.Kind == p.Basis {
			return i, nil
		}
		if d.Average > p.Draws[best].Average {
			best = i
		}
	}
	if p.Basis != "" {
		return 0, params.Refuse("basis", p.Basis, "is not among the draws", "the kind of one of them")
	}
	return best, nil
}

// Propose sizes the supply side of one rail. Its errors are *param.Error.
func Propose(ctx context.Context, p Params) (*Proposal, error) {
	p.Draws = append([]Draw(nil), p.Draws...)
	if err := p.defaults(); err != nil {
		return nil, err
	}
	base, err := p.basis()
	if err != nil {
		return nil, err
	}
	volts, usual := p.Sort.nominal(p.Voltage)
	out := &Proposal{Basis: p.Draws[base].Kind}
	out.Voltage = Figure{"supply_v", "supply voltage", volts, "V", fmt.Sprintf("lowest usual voltage not below the board's %.4g V (common practice, no source)", p.Voltage)}
	if !usual {
		out.Voltage.Why = fmt.Sprintf("the board's own: no usual supply gives more than %g V (common practice, no source)", p.highest())
	}
	for _, d := range p.Draws {
		s, err := p.size(d, volts)
		if err != nil {
			return nil, err
		}
		out.Cases = append(out.Cases, s)
	}
	s := out.Cases[base]
	out.Power = s.Rating
	out.Supplies = Figure{"supplies", "number of supplies", float64(s.Rung.Count), "", fmt.Sprintf("%.4g W needed, %.4g W the greatest rating usual at %g V", s.Need.Value/p.Derating, p.greatest(volts), volts)}
	if s.Rung.Count == 1 {
		out.Supplies.Why = "one is enough: " + out.Supplies.Why
	}
	if err := p.feeders(out, s); err != nil {
		return nil, err
	}
	if err := p.capacitors(out, s); err != nil {
		return nil, err
	}
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

// size picks the rung for one case.
func (p *Params) size(d Draw, volts float64) (Sized, error) {
	terminal := p.Voltage + p.FeederDrop
	need := terminal * d.Average * (1 + p.Tolerance) * (1 + p.Tolerance)
	rung, err := p.Sort.Rate(volts, need, p.Derating)
	if err != nil {
		return Sized{}, fmt.Errorf("supply for %s: %w", d.Kind, err)
	}
	why := fmt.Sprintf("(V + feeder drop) I_avg = (%.4g V + %.4g V) × %.4g A; %s", p.Voltage, p.FeederDrop, d.Average, d.Kind)
	if p.Tolerance > 0 {
		why += fmt.Sprintf("; × (1 + %.3g)² where the voltage is high", p.Tolerance)
	}
	rating := fmt.Sprintf("next usual rating from %.4g W / %.4g derating = %.4g W", need, p.Derating, need/p.Derating)
	if rung.Count > 1 {
		rating = fmt.Sprintf("next usual rating from %.4g W / %.4g derating / %d supplies = %.4g W", need, p.Derating, rung.Count, need/p.Derating/float64(rung.Count))
	}
	return Sized{
		Draw: d, Rung: rung,
		Need:   Figure{"need_w", "power needed, " + string(d.Kind), need, "W", why},
		Rating: Figure{"rating_w", "supply rating, " + string(d.Kind), rung.Power, "W", rating + " (ladder: common practice, no source)"},
	}, nil
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
		"%.4g mm², the thinnest nominal size (IEC 60228) with %.4g A capacity ≥ its %.4g A fuse and a drop within %.4g V at %.4g A; capacity %.4g A at 30 °C × √((70 − %.4g)/40) (DIN VDE 0298-4 as quoted by secondary sources, for guidance)",
		f.Area*1e6, capacity, f.Fuse, p.FeederDrop, f.Current, f.Capacity, p.Ambient-field.ZeroCelsius)}
	out.Runs = Figure{"feeder_pairs", "feeder pairs per supply", float64(f.Runs), "", fmt.Sprintf("%.4g A RMS per supply, %.4g A per pair", i, f.Current)}
	out.Drop = Figure{"feeder_drop_v", "feeder drop", f.Drop, "V", fmt.Sprintf(
		"2 ℓ r I = 2 × %.4g m × %.4g mΩ/m × (1 + %.5g × (%.4g − 20)) × %.4g A", p.FeederLength, f.Resistance*1e3, material.AnnealedCopper.TempCoefficient, f.Temperature-field.ZeroCelsius, f.Current)}
	out.FeederHeat = Figure{"feeder_heat_w", "feeder heat", f.Loss * float64(f.Runs) * n, "W", fmt.Sprintf("I ΔV = %.4g A × %.4g V × %d pairs", f.Current, f.Drop, f.Runs*s.Rung.Count)}
	out.FeederTemp = Figure{"feeder_conductor_k", "feeder conductor", f.Temperature, "K", fmt.Sprintf(
		"ambient + 40 K (I/I_z)² = %.4g K + 40 K × (%.4g A / %.4g A)²", p.Ambient, f.Current, f.Capacity)}
	out.Fuse = Figure{"fuse_a", "fuse per feeder pair", f.Fuse, "A", fmt.Sprintf(
		"next usual rating from %.4g × %.4g A = %.4g A (common practice, no source; ladder R10, from memory)", FuseMargin, f.Current, FuseMargin*f.Current)}
	return nil
}

const bulkKey, bulkName = "bulk_capacitance_f", "bulk capacitance"

func (p *Params) capacitors(out *Proposal, s Sized) error {
	d := s.Draw
	if most := math.Max(d.PhasePeak, d.Average); most > 0 {
		out.ESRLimit = Figure{"capacitor_esr_limit_ohm", "series resistance of the capacitors, limit", p.Droop / most, "Ω", fmt.Sprintf(
			"ΔV/I = %.4g V / %.4g A; switched on together; half of it leaves half the droop to the charge", p.Droop, most)}
		if p.ESR >= out.ESRLimit.Value {
			out.Capacitance = Figure{bulkKey, bulkName, math.Inf(1), "F", fmt.Sprintf("I ESR = %.4g A × %.4g Ω is not below ΔV = %.4g V", most, p.ESR, p.Droop)}
			return nil // a caution says what to do
		}
	}
	charge := BurstCharge(d.Average, d.Peak, d.Period)
	burst, err := charged(charge, d.PhasePeak*p.ESR, p.Droop, p.ESR)
	if err != nil {
		return err
	}
	step, err := BulkCapacitance(d.Average, p.ResponseTime, p.Droop, p.ESR)
	if err != nil {
		return err
	}
	c := Figure{Key: bulkKey, Name: bulkName, Unit: "F"}
	if burst > step {
		c.Value = burst
		c.Why = fmt.Sprintf("I_avg (1 − I_avg/I_peak) T/(ΔV − I_phase ESR) = %.4g A × (1 − %.4g A / %.4g A) × %.4g s / (%.4g V − %.4g A × %.4g Ω); the greatest charge drawn above the mean is %.4g C",
			d.Average, d.Average, d.Peak, d.Period, p.Droop, d.PhasePeak, p.ESR, charge)
	} else {
		c.Value = step
		c.Why = fmt.Sprintf("I Δt/(ΔV − I ESR) = %.4g A × %.4g s / (%.4g V − %.4g A × %.4g Ω); a dark picture turns into this one and the supply takes that long to follow (response time: common practice, no source)",
			d.Average, p.ResponseTime, p.Droop, d.Average, p.ESR)
	}
	out.Capacitance = c
	if c.Value == 0 {
		c.Why = "nothing is drawn"
		out.Capacitance = c
		return nil
	}
	nominal := nextDecade(usualCapacitances, c.Value)
	out.Capacitor = Figure{"capacitors_f", "capacitors, together", nominal, "F", fmt.Sprintf("next value of the E6 series from %.4g F; split it over the board, near the drivers", c.Value)}
	rated, ok := next(capacitorVoltages, 1.2*out.Voltage.Value)
	if ok {
		out.CapVoltage = Figure{"capacitor_rating_v", "capacitor voltage rating", rated, "V", fmt.Sprintf("next usual rating from 1.2 × %.4g V (common practice, no source)", out.Voltage.Value)}
	}
	ripple := RippleRMS(d.RMS, d.Average)
	out.Ripple = Figure{"capacitor_ripple_a", "ripple current of the capacitors", ripple, "A", fmt.Sprintf(
		"√(I_rms² − I_avg²) = √((%.4g A)² − (%.4g A)²); the capacitors' ripple ratings must add up to more", d.RMS, d.Average)}
	v := out.Voltage.Value
	out.CapEnergy = Figure{"capacitor_energy_j", "energy in the capacitors", nominal * v * v / 2, "J", fmt.Sprintf("C V²/2 = %.4g F × (%.4g V)² / 2", nominal, v)}
	rating := s.Rung.Total() / s.Rung.Voltage
	out.InrushTime = Figure{"charging_time_s", "charging time at the rated current", nominal * v / rating, "s", fmt.Sprintf(
		"C V/I = %.4g F × %.4g V / %.4g A; a supply that shuts down on overload must bear it for that long, dark", nominal, v, rating)}
	ohms := p.ESR
	if f := out.Feeder; f.Current > 0 {
		ohms += f.Drop / f.Current / float64(f.Runs*s.Rung.Count)
	}
	if ohms > 0 {
		limit := Overload * rating
		if r := v/limit - ohms; r > 0 {
			out.Limiter = Figure{"inrush_limiter_ohm", "inrush limiter, cold", r, "Ω", fmt.Sprintf(
				"V/(limit) − feeders − ESR = %.4g V / (%.3g × %.4g A) − %.4g Ω; it must take %.3g J at once, C V²/2, whatever its resistance, and be bridged or hot before the picture starts", v, Overload, rating, ohms, nominal*v*v/2)}
		}
		out.InrushPeak = Figure{"inrush_a", "inrush when plugged to a running supply", v / ohms, "A", fmt.Sprintf(
			"V/(feeders + ESR) = %.4g V / %.4g Ω; only as far as the supply's own output capacitors can give it: switch the supply on with the board connected, or limit the inrush", v, ohms)}
	}
	return nil
}

func (p *Params) mains(out *Proposal, s Sized) {
	in := s.Need.Value / p.Efficiency
	out.Input = Figure{"mains_w", "power from the mains", in, "W", fmt.Sprintf("P/η = %.4g W / %.4g", s.Need.Value, p.Efficiency)}
	out.SupplyHeat = Figure{"supply_heat_w", "heat in the supplies", in - s.Need.Value, "W", fmt.Sprintf("P (1/η − 1) = %.4g W × (1 / %.4g − 1)", s.Need.Value, p.Efficiency)}
}

func (p *Params) onHand(ctx context.Context, out *Proposal, s Sized) error {
	if p.Rated == 0 {
		return nil
	}
	usable := p.Rated * p.Derating
	out.Load = Figure{LoadKey, "load of the supply on hand", s.Need.Value / usable, "", fmt.Sprintf(
		"needed / (rating × derating) = %.4g W / (%.4g W × %.4g)", s.Need.Value, p.Rated, p.Derating)}
	if p.Power == nil {
		return nil
	}
	// The limit holds at the supply's terminals, power at the board.
	limit := usable * p.Voltage / (p.Voltage + p.FeederDrop)
	dim, err := Dim(ctx, limit, p.Power)
	if err != nil {
		return err
	}
	dim.Why += fmt.Sprintf("; limit = rating × derating × V/(V + feeder drop) = %.4g W × %.4g × %.4g/%.4g", p.Rated, p.Derating, p.Voltage, p.Voltage+p.FeederDrop)
	out.Dimming = dim
	return nil
}

func (p *Params) caution(out *Proposal, s Sized) {
	say := func(format string, args ...any) { out.Cautions = append(out.Cautions, fmt.Sprintf(format, args...)) }
	say("Mains side: wiring, protection and earthing are a matter for local codes and a licensed electrician. Buy a supply certified for your country, and open nothing that is on the mains.")
	say("Put each fuse at the supply's end of its feeder. A supply gives little more than its rating into a short circuit, so a fuse rated close to the supply's own current may not open: rely on the supply's own protection too.")
	if v := out.Voltage.Value; v > p.highest() {
		say("No usual supply gives %.4g V; the ratings here are as if one did. Ask for an adjustable one, or design for %g V or less.", v, p.highest())
	}
	if p.Tolerance > 0 {
		say("At %.4g V, the low end of what the supply may give, the pull is up to %.3g %% less: judge the design with supply.voltage = \"%.4g V\", too.", p.Voltage*(1-p.Tolerance), 100*(1-(1-p.Tolerance)*(1-p.Tolerance)), p.Voltage*(1-p.Tolerance))
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
		say("A usual supply gives %.4g V where the design has %.4g V: trim it down, or set the design's voltage to %.4g V and look at current and heat again.", v, p.Voltage, v)
	}
	if trim := (p.Voltage + out.Drop.Value) / out.Voltage.Value; trim > 1.005 {
		say("For %.4g V at the board the supply must be trimmed to %.4g V (feeders drop %.3g V).", p.Voltage, p.Voltage+out.Drop.Value, out.Drop.Value)
	}
	if out.Load.Value > 1 {
		say("The supply on hand (%.4g W) is loaded to %.0f %% of what it should give continuously.", p.Rated, 100*out.Load.Value)
	}
	if out.ESRLimit.Name != "" && p.ESR >= out.ESRLimit.Value {
		say("No capacitance is enough: %.4g Ω of series resistance alone lets the rail fall by more than %.4g V. Take capacitors of less than %.3g Ω together, more of them, or stagger the pixels.", p.ESR, p.Droop, out.ESRLimit.Value)
	}
	if out.CapEnergy.Value > 10 {
		say("The capacitors keep %.3g J: let them discharge before touching the board with tools.", out.CapEnergy.Value)
	}
	for _, c := range out.Cases {
		if c.Rung.Total() > s.Rung.Total() && c.Draw.Kind != out.Basis {
			say("Sized for %s. %s needs %d × %.4g W: the firmware must make sure that it never comes.", out.Basis, c.Draw.Kind, c.Rung.Count, c.Rung.Power)
		}
	}
}

// cautionUSB says what a port of USB Power Delivery asks of a board.
func (p *Params) cautionUSB(out *Proposal, s Sized, say func(format string, args ...any)) {
	say("USB Power Delivery gives 5 V until a part on the board has asked for %.4g V and got it: keep every driver off until then, and when a port offers less.", p.Voltage)
	if s.Rung.Power > 3*s.Rung.Voltage*(1+1e-9) {
		say("More than 3 A takes a cable marked for 5 A; without one the port gives %.4g W.", 3*s.Rung.Voltage)
	}
	if c := out.Capacitor.Value; c > MostUSB {
		say("A port bears %.3g µF behind it at 5 V and %.3g µF once a voltage is agreed; the capacitors here are %.4g µF. Let a switch with a soft start charge them, over %.3g ms or longer, or need less: see lodegrid supply.", portCapacitance*1e6, MostUSB*1e6, c*1e6, 1e3*out.InrushTime.Value)
	}
}
