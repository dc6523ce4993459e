package player

import (
	"math"
	"sort"
)

// Summary condenses the ledger. An empty ledger gives a zero summary with
// LeastHold +Inf and pixel indices −1.
func (l *Ledger) Summary() Summary {
	s := Summary{LeastHold: math.Inf(1), LeastHoldPixel: -1, FalseOnPixel: -1, HottestPixel: -1, CrosstalkMargin: math.Inf(1)}
	var square float64
	for i, e := range l.Entries {
		s.Duration += e.Duration
		s.AveragePower += e.SupplyPower * e.Duration
		square += e.SupplyPower * e.SupplyPower * e.Duration
		s.AverageCurrent += e.SupplyCurrent * e.Duration
		if e.SupplyPower > s.PeakFramePower || i == 0 {
			s.PeakFramePower, s.PeakFrame = e.SupplyPower, i
		}
		if e.SupplyPeakPower > s.PeakPower || i == 0 {
			s.PeakPower, s.PeakPowerFrame = e.SupplyPeakPower, i
		}
		s.PeakCurrent = max(s.PeakCurrent, e.SupplyPeakCurrent)
		if e.Hottest > s.Hottest {
			s.Hottest, s.HottestPixel, s.HottestFrame = e.Hottest, e.HottestPixel, i
		}
		if e.LeastHold < s.LeastHold {
			s.LeastHold, s.LeastHoldPixel, s.LeastHoldFrame = e.LeastHold, e.LeastHoldPixel, i
		}
		if e.GreatestFalseOn > s.GreatestFalseOn {
			s.GreatestFalseOn, s.FalseOnPixel, s.FalseOnFrame = e.GreatestFalseOn, e.GreatestFalsePixel, i
		}
		s.Touch = max(s.Touch, e.Touch)
		for side, t := range e.Behind {
			s.Behind[side] = max(s.Behind[side], t)
		}
		s.CrosstalkMargin = min(s.CrosstalkMargin, e.CrosstalkMargin)
		if len(e.Failing) > 0 {
			s.FailingFrames++
			s.FailingPixels += len(e.Failing)
		}
		if len(e.FalseOn) > 0 {
			s.FalseOnFrames++
			s.FalseOnPixels += len(e.FalseOn)
		}
		s.LitPixels += e.Lit
		if e.Lit > s.MostLit {
			s.MostLit, s.MostLitFrame = e.Lit, i
		}
	}
	if s.Duration > 0 {
		s.AveragePower /= s.Duration
		s.AverageCurrent /= s.Duration
		s.RMSPower = math.Sqrt(square / s.Duration)
	}
	return s
}

// Hungriest lists up to n frames by falling supply power, equal ones in order.
func (l *Ledger) Hungriest(n int) []int {
	order := make([]int, len(l.Entries))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool {
		return l.Entries[order[a]].SupplyPower > l.Entries[order[b]].SupplyPower
	})
	return order[:min(n, len(order))]
}
