package render

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
)

// roundTicks marks an axis at multiples of 1, 2 or 5 times a power of ten, three to
// nine of them.
type roundTicks struct{}

// Ticks implements plot.Ticker.
func (roundTicks) Ticks(low, high float64) []plot.Tick {
	most := (high - low) / 3.5
	if !(most > 0) || math.IsInf(most, 0) {
		return nil
	}
	step := math.Pow(10, math.Floor(math.Log10(most)))
	for _, f := range []float64{5, 2} {
		if f*step <= most {
			step *= f
			break
		}
	}
	digits := int(max(0, -math.Floor(math.Log10(step)+1e-9)))
	var list []plot.Tick
	for k := math.Ceil(low/step - 1e-9); k*step <= high+1e-9*step; k++ {
		list = append(list, plot.Tick{Value: k * step, Label: fmt.Sprintf("%.*f", digits, k*step+0)})
	}
	return list
}

// percents marks an axis of shares in per cent.
type percents struct{}

// Ticks implements plot.Ticker.
func (percents) Ticks(low, high float64) []plot.Tick {
	list := roundTicks{}.Ticks(100*low, 100*high)
	for k := range list {
		list[k].Value /= 100
	}
	return list
}

// decades marks a logarithmic axis at powers of ten, with unmarked ticks at 2 … 9 times
// each.
type decades struct{}

// Ticks implements plot.Ticker.
func (decades) Ticks(low, high float64) []plot.Tick {
	if !(low > 0) || math.IsInf(high, 0) {
		return nil
	}
	var list []plot.Tick
	for k := int(math.Floor(math.Log10(low))); k <= int(math.Ceil(math.Log10(high))); k++ {
		for f := 1.0; f < 10; f++ {
			v := f * math.Pow10(k)
			if v < low*(1-1e-9) || v > high*(1+1e-9) {
				continue
			}
			label := ""
			if f == 1 {
				label = fmt.Sprintf("%.*f", max(0, -k), v)
			}
			list = append(list, plot.Tick{Value: v, Label: label})
		}
	}
	return list
}
