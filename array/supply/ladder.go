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

// powersAt returns the ratings sold at a voltage.
func powersAt(volts float64) []float64 {
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
func Rate(volts, power, derating float64) (Rung, error) {
	for _, err := range []error{params.Positive("voltage", volts, "V"), params.NotNegative("power", power, "W"), share("derating", derating)} {
		if err != nil {
			return Rung{}, err
		}
	}
	need := power / derating
	ladder := powersAt(volts)
	top := ladder[len(ladder)-1]
	count := math.Max(1, math.Ceil(need/top*(1-1e-12)))
	rating, _ := next(ladder, need/count)
	return Rung{Voltage: volts, Power: rating, Count: int(count)}, nil
}

// nominal returns the lowest usual voltage that is not below the board's; above the
// ladder none is usual, and it is the board's own.
func nominal(volts float64) (v float64, usual bool) {
	if v, ok := next(Voltages, volts); ok {
		return v, true
	}
	return volts, false
}
