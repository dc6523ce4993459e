package supply

import (
	"math"
)

// Voltages usually sold, in volts. Common practice, no source.
var Voltages = []float64{5, 12, 15, 24, 36, 48}

// Powers usually sold, in watts. Common practice, no source.
var Powers = []float64{15, 25, 35, 50, 75, 100, 150, 200, 300, 350, 450, 600, 750, 1000, 1500}

// MostCurrent is the output current in amperes above which a rating is rarely sold
// as one unit. Common practice, no source.
const MostCurrent = 100.0

// HighestVoltage is the direct voltage in volts up to which touching a conductor is
// usually taken to be safe in dry rooms; from memory of IEC 61140 and IEC 62368-1.
const HighestVoltage = 60.0

// Sort names what kind of supplies there is to choose from.
type Sort string

// The sorts. USB Power Delivery (USB Power Delivery Specification, IEC 62680-1-2) has fixed
// voltages of 5, 9, 15 and 20 V at up to 3 A, at 20 V and with a cable marked for it up to 5 A:
// as quoted by secondary sources.
const (
	Usual Sort = "usual"
	USBPD Sort = "usb-pd"
)

// What USB Power Delivery lets a board put behind its port, F: before a voltage is agreed
// (USB 2.0, as quoted in a maker's manual) and after (cSnkBulkPd, as quoted in a data sheet).
const (
	portCapacitance = 10e-6
	MostUSB         = 100e-6
)

// Voltages are those that are sold, V, ascending.
func (s Sort) Voltages() []float64 {
	if s == USBPD {
		return []float64{5, 9, 15, 20}
	}
	return Voltages
}

// Powers are the ratings sold at a voltage, W, ascending.
func (s Sort) Powers(volts float64) []float64 {
	if s == USBPD {
		if volts < 20 {
			return []float64{3 * volts}
		}
		return []float64{60, 100}
	}
	n := len(Powers)
	for n > 1 && Powers[n-1] > MostCurrent*volts*(1+1e-12) {
		n--
	}
	return Powers[:n]
}

// Rung is a choice from the ladder: a number of equal supplies.
type Rung struct {
	Voltage float64 // V, nominal
	Power   float64 // W, rating of one
	Count   int     // supplies, each feeding its own section of the grid
}

// Total returns the rating of all supplies together, W.
func (r Rung) Total() float64 { return r.Power * float64(r.Count) }

// Rate returns the least rung of a nominal voltage that bears a power in watts when
// no more than a share derating of the rating is used. Where one supply is not
// enough, the fewest equal ones are taken, however many, the power shared evenly between
// them.
func (s Sort) Rate(volts, power, derating float64) Rung {
	need := power / derating
	ladder := s.Powers(volts)
	top := ladder[len(ladder)-1]
	count := math.Max(1, math.Ceil(need/top*(1-1e-12)))
	rating, _ := next(ladder, need/count)
	return Rung{Voltage: volts, Power: rating, Count: int(count)}
}

// nominal returns the lowest usual voltage that is not below the board's; above the
// ladder none is usual, and it is the board's own.
func (s Sort) nominal(volts float64) (v float64, usual bool) {
	if v, ok := next(s.Voltages(), volts); ok {
		return v, true
	}
	return volts, false
}
