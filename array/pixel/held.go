package pixel

import (
	"cmp"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/field"
	"lodegrid/field/quantity"
)

// NewDrive is the drive of a design's pixels in so many columns, frames of frameTime s; 0 =
// UsualFrame.
func NewDrive(d design.Design, p Pixel, cols int, frameTime float64) *drive.Drive {
	under := func(duty float64) (inductance, steel float64) { return p.underDuty(d, duty) }
	if p.Eddy == nil {
		return DriveOf(d, under, nil, cols, frameTime)
	}
	return DriveOf(d, under, drive.Response(under), cols, frameTime)
}

// DriveOf is the drive of coils whose inductance in henries, and resistance in ohms by which
// the ripple heats the steel, at a duty are told; see UnderPWM. levels tells the same of levels
// below the full; nil for what it is at the full.
func DriveOf(d design.Design, under, levels func(duty float64) (inductance, steel float64), cols int, frameTime float64) *drive.Drive {
	frameTime = cmp.Or(frameTime, UsualFrame)
	inductance, steel := under(heldDuty(d))
	kickInductance, kickSteel := inductance, steel
	if d.Drive.Mode == design.DriveKick {
		kickInductance, kickSteel = under(d.Drive.MaxDuty)
	}
	return drive.New(drive.Params{
		Mode: d.Drive.Mode, Bridge: d.Drive.Bridge,
		Rows: d.Grid.Rows, Cols: cols,
		Voltage: d.Supply.Voltage, BoostVoltage: d.Drive.KickVoltage,
		Frequency: d.Drive.Frequency, Inductance: inductance, SteelResistance: steel,
		KickInductance: kickInductance, KickSteel: kickSteel, Under: levels,
		OnResistance: d.Drive.OnResistance, DiodeDrop: d.Drive.DiodeDrop, PathDrop: d.PathDrop(), MaxDuty: d.Drive.MaxDuty,
		FrameTime: frameTime, ScanTime: d.Drive.ScanTime, Turns: d.Turns(), KickTime: d.Drive.KickTime, HoldDuty: d.Drive.HoldDuty, Series: d.Drive.InSeries,
	})
}

// Held is what a cold pixel alone draws while full level is held, averaged over a PWM
// period, or over a scan, in which it is on for its row's turn. In mode kick the kick is
// over. The heat goes with the square of the current, so ripple makes it more than the
// mean current tells.
type Held struct {
	Average       float64          // A
	RMS           quantity.Derived // A
	Copper, Power quantity.Derived // W, in the coil and from the rails
}

// Held works out what a pixel draws while full level is held.
func (p Pixel) Held(d design.Design) Held {
	drv := NewDrive(d, p, 1, d.Scene.FrameTime) // one column: the rows share the supply in mode scan
	states, levels, ohms := make([]drive.PixelState, d.Grid.Rows), make([]float64, d.Grid.Rows), make([]float64, d.Grid.Rows)
	cold := p.Coil.Resistance(field.RoomTemperature)
	for i := range ohms {
		ohms[i] = cold
	}
	levels[0] = 1
	if err := drv.Steady(states, levels, ohms); err != nil {
		panic(err) // every drive takes full level
	}
	s, over := states[0], "a settled PWM period"
	if d.Drive.Mode == design.DriveScan {
		over = fmt.Sprintf("a settled scan of %d turns", d.Turns())
	}
	return Held{
		Average: s.Average,
		RMS:     quantity.Derived{Value: s.RMS, Why: fmt.Sprintf("root of the mean square over %s, in closed form: drive %s, %s, L/R against the period", over, d.Drive.Mode, quantity.Format(d.Drive.Frequency, quantity.Frequency))},
		Copper:  quantity.Derived{Value: s.Copper, Why: copperWhy(s, cold)},
		Power:   quantity.Derived{Value: s.Power, Why: fmt.Sprintf("coil + switches + diodes = %.5g W + %.5g W + %.5g W", s.Copper, s.Switch, s.Diode)},
	}
}

// copperWhy derives the heat in a coil, and in its steel where there is some.
func copperWhy(s drive.PixelState, ohms float64) string {
	if s.Steel > 0 {
		return fmt.Sprintf("I_rms² R and the ripple's eddy currents = (%.5g A)² × %.5g Ω + %.5g W", s.RMS, ohms, s.Steel)
	}
	return fmt.Sprintf("I_rms² R = (%.5g A)² × %.5g Ω", s.RMS, ohms)
}

// UsualFrame is how long a frame lasts where none is told, s.
const UsualFrame = 0.1
