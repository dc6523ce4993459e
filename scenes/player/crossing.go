package player

// crossing returns the largest argument in low…high at which a margin is not
// negative: high when it never is, low when it always is. The margin falls and crosses
// zero once; the crossing is closed in by the Illinois form of false position
// (M. Dowell and P. Jarratt, BIT 11 (1971) 168; from memory), with a bisection where
// that stalls, to the tolerance on the safe side.
func crossing(margin func(float64) (float64, error), low, high, tolerance float64) (float64, error) {
	fhigh, err := margin(high)
	if err != nil || fhigh >= 0 {
		return high, err
	}
	flow, err := margin(low)
	if err != nil || flow < 0 {
		return low, err
	}
	side := 0
	for n := 0; high-low > tolerance; n++ {
		mid := (low*fhigh - high*flow) / (fhigh - flow)
		if n%4 == 3 || !(mid > low && mid < high) {
			mid = (low + high) / 2
		}
		// A little past the estimate on the wider side, so that both ends close in.
		if step := tolerance / 2; mid-low < high-mid {
			mid = min(mid+step, (low+high)/2)
		} else {
			mid = max(mid-step, (low+high)/2)
		}
		f, err := margin(mid)
		if err != nil {
			return 0, err
		}
		if f >= 0 {
			low, flow = mid, f
			if side == 1 {
				fhigh /= 2
			}
			side = 1
		} else {
			high, fhigh = mid, f
			if side == -1 {
				flow /= 2
			}
			side = -1
		}
	}
	return low, nil
}
