package scope

import (
	"math"
	"strconv"

	"lodegrid/array/design"
	"lodegrid/field"
)

// Control is one value of the design that a slider changes.
type Control struct {
	Label string // what it is
	Help  string // one sentence
	Key   string // in the design file
	Unit  string
	Low   float64 // in Unit
	High  float64
	Value float64
	Off   string // why it does nothing in this design; empty when it does
}

// controls are the sliders of a design.
func controls(d design.Design) []Control {
	volts := d.Supply.Voltage
	list := []Control{
		{
			Label: "Supply voltage", Help: "Voltage at the board.", Key: "supply.voltage", Unit: "V",
			Low: 1, High: ceil(max(3*volts, 12)), Value: volts,
		}, {
			Label: "Duty ceiling", Help: "Duty of a pixel at full level: the share of the time its switch is on.",
			Key: "drive.max_duty", Unit: "%", Low: 1, High: 100, Value: 100 * d.Drive.MaxDuty,
		}, {
			Label: "Pitch", Help: "From one pixel's middle to the next.", Key: "grid.pitch", Unit: "mm",
			Low: 1e3 * d.Grid.Pitch / 2, High: 1e3 * d.Grid.Pitch * 2, Value: 1e3 * d.Grid.Pitch,
		}, {
			Label: "Fluid height", Help: "From the board's front to the middle of the fluid.", Key: "fluid.height", Unit: "mm",
			Low: 0.5, High: ceil(max(3e3*d.Fluid.Height, 6)), Value: 1e3 * d.Fluid.Height,
		},
	}
	bias := Control{
		Label: "Bias magnet", Help: "Remanence of the bias magnets; negative puts the south pole towards the viewer.",
		Key: "magnet.remanence", Unit: "mT", Low: -1500, High: 1500, Value: 1e3 * d.Magnet.Remanence,
	}
	if d.Magnet.Kind == design.MagnetNone {
		bias.Off, bias.Value = "this design has no bias magnet (magnet.kind)", 0
	}
	list = append(list, bias)
	steel := Control{
		Label: "Back steel", Help: "Thickness of the steel behind the board.", Key: "iron.thickness", Unit: "mm",
		Low: 0.1, High: ceil(max(3e3*d.Iron.Thickness, 3)), Value: 1e3 * d.Iron.Thickness,
	}
	switch d.Iron.Model {
	case design.IronNone:
		steel.Off, steel.Value = "this design has no steel (iron.model)", steel.Low
	case design.IronImage:
		steel.Label, steel.Help = "Back steel", "Strength of the steel's mirror image, 0 for none to 1 for ideal."
		steel.Key, steel.Unit, steel.Low, steel.High, steel.Value = "iron.factor", "", 0, 1, d.Iron.Factor
	}
	return append(list, steel, Control{
		Label: "Air", Help: "Temperature of the air around the display.", Key: "heat.ambient", Unit: "degC",
		Low: -20, High: 60, Value: d.Heat.Ambient - field.ZeroCelsius,
	})
}

// ceil rounds up to a number with one digit that is 1, 2, 3, 4, 5, 6 or 8.
func ceil(v float64) float64 {
	if !(v > 0) {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(v)))
	for _, f := range []float64{1, 2, 3, 4, 5, 6, 8} {
		if f*power >= v*(1-1e-12) {
			return f * power
		}
	}
	return 10 * power
}

// Text is the value with its unit as people write it.
func (c Control) Text() string {
	unit := c.Unit
	switch unit {
	case "degC":
		unit = "°C"
	case "mT":
		if math.Abs(c.Value) >= 1000 {
			return number(c.Value/1000) + " T"
		}
	}
	if unit == "" {
		return number(c.Value)
	}
	return number(c.Value) + " " + unit
}

// change is the value as the design file has it.
func (c Control) change() design.Change {
	text := number(c.Value)
	if c.Unit != "" {
		text += " " + c.Unit
	}
	return design.Change{Key: c.Key, Value: text}
}

// number writes to three digits.
func number(v float64) string {
	if v == 0 {
		return "0"
	}
	digits := 2 - int(math.Floor(math.Log10(math.Abs(v))))
	p := math.Pow(10, float64(min(max(digits, 0), 6)))
	return strconv.FormatFloat(math.Round(v*p)/p, 'f', -1, 64)
}

// Share is where the value stands between Low and High, 0…1.
func (c Control) Share() float64 { return min(max((c.Value-c.Low)/(c.High-c.Low), 0), 1) }

// at sets the value by its share.
func (c *Control) at(share float64) {
	c.Value = c.Low + (c.High-c.Low)*min(max(share, 0), 1)
	if v, err := strconv.ParseFloat(number(c.Value), 64); err == nil {
		c.Value = v // what is shown is what is computed
	}
}
