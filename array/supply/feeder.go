package supply

import (
	"fmt"
	"math"

	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

// Conductor is one nominal size of flexible copper conductor.
type Conductor struct {
	Area       float64 // m², nominal
	Resistance float64 // Ω/m, highest at 20 °C: IEC 60228, class 5, plain copper
	Capacity   float64 // A in air of 30 °C: DIN VDE 0298-4 table 11
}

// Conductors are the sizes a feeder is chosen from. Nominal areas and resistances:
// IEC 60228 table 3, quoted by secondary sources. Capacities: DIN VDE 0298-4 table
// 11 column 5, quoted by secondary sources, for 0.5 mm² column 3 (it has no entry in
// column 5).
var Conductors = []Conductor{
	{0.5e-6, 39.0e-3, 3},
	{0.75e-6, 26.0e-3, 12},
	{1e-6, 19.5e-3, 15},
	{1.5e-6, 13.3e-3, 18},
	{2.5e-6, 7.98e-3, 26},
	{4e-6, 4.95e-3, 34},
	{6e-6, 3.30e-3, 44},
	{10e-6, 1.91e-3, 61},
	{16e-6, 1.21e-3, 82},
	{25e-6, 0.780e-3, 108},
	{35e-6, 0.554e-3, 135},
	{50e-6, 0.386e-3, 168},
	{70e-6, 0.272e-3, 207},
	{95e-6, 0.206e-3, 250},
	{120e-6, 0.161e-3, 292},
}

const (
	capacityAmbient = 303.15 // K, of the capacities
	capacityLimit   = 343.15 // K, of the conductor at its capacity
)

// CapacityFactor returns what the capacities are multiplied with at another ambient
// temperature in kelvin, √((70 °C − T)/(70 °C − 30 °C)): heat grows with the square
// of the current. 0 at 70 °C and above.
func CapacityFactor(ambient float64) float64 {
	return math.Sqrt(math.Max(0, (capacityLimit-ambient)/(capacityLimit-capacityAmbient)))
}

// Feeder is a pair of conductors from a supply to the board.
type Feeder struct {
	Conductor
	Runs        int     // equal pairs, each with its own fuse and section of the board
	Current     float64 // A, in one pair
	Drop        float64 // V, there and back
	Loss        float64 // W, in one pair
	Temperature float64 // K, of the conductor
	Fuse        float64 // A, of one pair
}

// Fuses are usual ratings in amperes: the R10 series of preferred numbers, as in IEC
// 60269 and IEC 60127, from memory.
var Fuses = []float64{1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10, 12.5, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250}

// FuseMargin is the ratio of a fuse's rating to the continuous current. Common
// practice, no source.
const FuseMargin = 1.25

// ChooseFeeder returns the thinnest pair of a length in metres (one way) that
// carries a current in amperes at an ambient temperature in kelvin, has the capacity
// of its own fuse, and drops no more than a voltage in volts. Where the thickest is
// not enough the fewest equal pairs are taken.
//
// The conductor is taken to warm by 40 K (I/I_z)², by which the capacities are
// defined, and its resistance by the linear law of copper.
func ChooseFeeder(current, length, drop, ambient float64) (Feeder, error) {
	factor := CapacityFactor(ambient)
	if factor == 0 {
		return Feeder{}, params.Refuse("ambient", ambient, "no warmth is left for the feeder", fmt.Sprintf("below %.2f K", capacityLimit))
	}
	for runs := 1; runs <= maxRuns; runs++ {
		i := current / float64(runs)
		fuse, ok := next(Fuses, i*FuseMargin)
		if !ok {
			continue
		}
		for _, c := range Conductors {
			capacity := c.Capacity * factor
			if fuse > capacity {
				continue
			}
			f := Feeder{Conductor: c, Runs: runs, Current: i, Fuse: fuse}
			f.Temperature = ambient + (capacityLimit-capacityAmbient)*math.Pow(i/c.Capacity, 2)
			ohms := 2 * length * c.Resistance * material.Linear(material.AnnealedCopper.TempCoefficient, f.Temperature)
			f.Drop = i * ohms
			f.Loss = i * f.Drop
			if f.Drop <= drop*(1+1e-12) {
				return f, nil
			}
		}
	}
	return Feeder{}, params.Refuse("feeder_length", length, fmt.Sprintf("%s A cannot be brought that far within %s V by %d pairs of the thickest conductor", quantity.Figure(current, 4), quantity.Figure(drop, 4), maxRuns),
		"a shorter feeder, a higher voltage or a greater drop")
}

const maxRuns = 64
