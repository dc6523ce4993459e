package faults

import (
	"math"

	"lodegrid/array/supply"
)

// Kind names a fault.
type Kind string

// The kinds.
const (
	TurnShorted  Kind = "turn_shorted"  // one turn, the outermost of a layer
	LayerShorted Kind = "layer_shorted" // all turns of one layer
	CoilShorted  Kind = "coil_shorted"  // its terminals
	SwitchStuck  Kind = "switch_stuck"  // one pixel on for good
	CoilOpen     Kind = "coil_open"
	DriverDead   Kind = "driver_dead"
	HungLit      Kind = "hung_lit"   // firmware hung, every pixel at full level, the PWM goes on
	HungOn       Kind = "hung_on"    // firmware hung, every switch on for good
	KickStuck    Kind = "kick_stuck" // one kick never ends; mode kick
	RowStuck     Kind = "row_stuck"  // the scan stops in one row; mode scan
	PixelHung    Kind = "pixel_hung" // firmware leaves one pixel on, by its row's and its column's switch; mode scan

	// Mode scan: of the lines that pixels share, and of the diode at each coil that parts them.
	DiodeShorted  Kind = "diode_shorted"
	RowShorted    Kind = "row_shorted"    // a row's line is always on the rail: its switch has stuck, or the line is shorted
	ColumnShorted Kind = "column_shorted" // a column's line is always on the return
	RowsTouch     Kind = "rows_touch"     // the lines of two rows side by side
	ColumnsTouch  Kind = "columns_touch"  // those of two columns
	LinesTouch    Kind = "lines_touch"    // a row's and a column's, at a pixel

	FanStopped  Kind = "fan_stopped"  // where one blows
	SupplyHigh  Kind = "supply_high"  // a rail over its voltage
	FeederLoose Kind = "feeder_loose" // the joint of the supply's feeder
	RowLoose    Kind = "row_loose"    // the feeder of one row of pixels
)

// High is the rail of SupplyHigh over its voltage.
const High = 1.1

// Fault is one thing that went wrong.
type Fault struct {
	Kind Kind
	// Kicked tells that it draws from a kick rail of its own, with its own supply and fuse.
	Kicked bool
	// Strong tells that the supply gives whatever is asked for; else its own limit holds.
	Strong bool
	Pixel  int // that it strikes, or the first of its string; −1 for more
	Count  int // pixels struck

	Asked   float64 // A, mean that the display asks of the supply, coils as warm as the scene makes them
	Current float64 // A of that, as far as the supply gives it
	Held    bool    // the supply's own limit holds the current
	Coil    float64 // A, mean through a struck coil; 0 where none flows
	Switch  float64 // A, most through the switch of a scan's column; 0 where none is struck
	// Spot is heat in one place that is no coil: in a driver or at a joint, W; 0 for none.
	Spot float64

	// Course is that of the temperatures; Heats is false where nothing gets hotter than
	// the scene makes it, and Course zero.
	Heats  bool
	Course Course

	// Ratio is the current of a feeder over its fuse's rating, and the fuse opens between
	// Earliest and Latest, s; +Inf for never.
	Ratio, Earliest, Latest float64

	Lost    Lost
	Catches []Catch // the parts that may catch it, the usual one first
}

// Lost is what the picture loses.
type Lost struct {
	Dark int     // pixels that pull no drop any more
	On   int     // pixels that never let go
	Time float64 // share of the scene's time in which that differs from the picture, 0…1
	Pull float64 // of a struck pixel against a sound one; 1 unchanged
}

// Part is a part that catches faults.
type Part string

// The parts; each name ends in the unit of its size.
const (
	FeederFuse   Part = "feeder_fuse_a"   // Size: A
	PixelFuse    Part = "pixel_fuse_a"    // Size: A, in every pixel's lead
	DriverLimit  Part = "driver_limit_a"  // Size: A, in every driver
	CutOut       Part = "cut_out_k"       // Size: K, at its place
	Watchdog     Part = "watchdog_s"      // Size: s, in hardware, switches the rail off
	RailCheck    Part = "rail_check_s"    // Size: s between two looks at the rail's current
	UnderVoltage Part = "under_voltage_v" // Size: V at the board
	FanSensor    Part = "fan_sensor_s"    // Size: s, without a turn
)

// Catch is a part with its size, and whether it catches the fault before a limit is passed.
type Catch struct {
	Part   Part
	Size   float64
	Within float64 // s, after which it has acted at the latest; +Inf when it does not
	Works  bool
}

// contact is how long a surface at limits.touch may be touched, s: ISO 13732-1 gives its
// limits by the time of contact, and the usual one is for a minute; from memory.
const contact = 60

// Harm is how long the fault may last before it does harm, s: until limits.board is passed,
// or limits.touch has been for the time of a contact. It is +Inf for ever, and 0 where the
// scene breaks limits.board by itself. A touch limit that the scene breaks does not count.
func (f *Fault) Harm() float64 {
	if !f.Heats {
		return math.Inf(1)
	}
	harm := f.Course.ToBoard
	if t := f.Course.ToTouch; t > 0 {
		harm = min(harm, t+contact)
	}
	return harm
}

// Harms tells that it does harm in time, the scene by itself none.
func (f *Fault) Harms() bool { return f.Harm() > 0 && !math.IsInf(f.Harm(), 1) }

// Opening tells whether the feeder's fuse opens.
type Opening int

// Whether it does.
const (
	Never Opening = iota
	Perhaps
	Surely // by Latest
)

// Opens tells which.
func (f *Fault) Opens() Opening {
	switch {
	case !math.IsInf(f.Latest, 1):
		return Surely
	case f.Ratio < supply.Borne:
		return Never
	}
	return Perhaps
}

// Caught is the first part that works, nil when none is needed or none does.
func (f *Fault) Caught() *Catch {
	for i := range f.Catches {
		if f.Catches[i].Works {
			return &f.Catches[i]
		}
	}
	return nil
}

// Firmware tells whether sound firmware would not let it happen.
func (f *Fault) Firmware() bool {
	switch f.Kind {
	case HungLit, HungOn, KickStuck, RowStuck, PixelHung:
		return true
	}
	return false
}
