package supply

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"
)

// The table of conductors against the copy of what was read, origin in
// testdata/supply/README.md.
func TestConductorsAgainstReference(t *testing.T) {
	f, err := os.Open("../../testdata/supply/conductors.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	rows = rows[1:]
	if len(rows) != len(Conductors) {
		t.Fatalf("%d conductors, the reference has %d", len(Conductors), len(rows))
	}
	for k, row := range rows {
		number := func(s string) float64 {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		c := Conductors[k]
		near(t, "area", c.Area, number(row[0])*1e-6, 1e-12)
		near(t, "resistance", c.Resistance, number(row[1])*1e-3, 1e-12)
		if row[3] != "" {
			near(t, "capacity", c.Capacity, number(row[3]), 0)
			if c.Capacity > number(row[2]) {
				t.Errorf("%s mm²: bunched cores carry more than a single one", row[0])
			}
		}
	}
}

// The capacitances with which ngspice saw the rail swing by what was allowed.
func TestDroopAgainstSpice(t *testing.T) {
	data, err := os.ReadFile("../../testdata/supply/droop.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases    []struct{ Average, Peak, Period, ESR, Droop, Capacitance, Swing float64 }
		Limiters []struct{ Voltage, Capacitance, Feeders, Limiter, Peak, Heat float64 }
	}
	if err := json.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Cases) < 3 {
		t.Fatalf("%d cases", len(file.Cases))
	}
	for _, c := range file.Cases {
		p, err := Propose(t.Context(), Params{
			Voltage: 12, Droop: c.Droop, ESR: c.ESR, ResponseTime: 1e-12,
			Draws: []Draw{{Kind: Frame, Average: c.Average, RMS: math.Sqrt(c.Average * c.Peak), Peak: c.Peak, Period: c.Period}},
		})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "capacitance", p.Capacitance.Value, c.Capacitance, 1e-12)
		near(t, "swing in ngspice", c.Swing, c.Droop, 5e-3)
	}
	// A supply of 150 W and one of 200 W: ngspice sees just their own limit through the
	// limiter that is told, and in it all of C V²/2 but the feeders' share.
	for i, watts := range []float64{150, 200} {
		c := file.Limiters[i]
		amps := 0.7 * watts / c.Voltage
		p, err := Propose(t.Context(), Params{Voltage: c.Voltage, Droop: 0.9 * c.Voltage, ESR: c.Feeders, Draws: []Draw{{Kind: Frame, Average: amps, RMS: amps, Peak: amps}}})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "limiter", p.Limiter.Value, c.Limiter, 1e-3)
		near(t, "inrush in ngspice", c.Peak, Overload*watts/c.Voltage, 1e-3)
		near(t, "heat in the limiter in ngspice", c.Heat, c.Capacitance*c.Voltage*c.Voltage/2*c.Limiter/(c.Limiter+c.Feeders), 5e-3)
	}
}

// AllOnPower returns the power of a number of pixels all on, by Ohm's law:
// N D V²/(R + Ron), with the coils' resistance and that of their switches in ohms
// and the duty 0…1. It is what the grid draws when L/R is far below the PWM period;
// slower coils draw less.
func AllOnPower(pixels int, volts, resistance, onResistance, duty float64) (Figure, error) {
	f := Figure{Key: "all_on_w", Name: "all on", Unit: "W"}
	f.Value = float64(pixels) * duty * volts * volts / (resistance + onResistance)
	f.Why = fmt.Sprintf("N D V²/(R + Ron) = %d × %.4g × (%.4g V)² / (%.4g Ω + %.4g Ω)", pixels, duty, volts, resistance, onResistance)
	return f, nil
}
