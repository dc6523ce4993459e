package choose

import (
	"cmp"
	"math"
	"slices"
)

// objectives are what the front is made of, each the better the smaller: logarithms.
func (f Figures) objectives() [4]float64 {
	log := func(v float64) float64 { return math.Log(min(max(v, 1e-99), 1e99)) } // what is free, or never, too
	return [4]float64{-log(f.Force), log(f.Heat), log(f.Price), log(f.Time)}
}

// byGoal orders objectives by that of a goal, then by the others.
func byGoal(a, b [4]float64, goal int) int {
	return cmp.Or(cmp.Compare(a[goal], b[goal]), slices.Compare(a[:], b[:]))
}

// before orders designs by a goal, then by the other objectives; prices are alike that are
// printed alike.
func (c *Choice) before(o *Choice, best Goal) int {
	of := func(c *Choice) [4]float64 {
		v := c.objectives()
		v[Price.by()] = math.Round(100 * c.Price)
		return v
	}
	return byGoal(of(c), of(o), best.by())
}

// by is the objective of a goal.
func (g Goal) by() int { return slices.Index([]Goal{Pull, Heat, Price, Time}, g) }

// dominates tells whether nothing is worse and something better.
func dominates(a, b [4]float64) bool {
	better := false
	for i := range a {
		if a[i] > b[i] {
			return false
		}
		better = better || a[i] < b[i]
	}
	return better
}

// front returns the indices of those that none dominates, in order.
func front(list [][4]float64) (out []int) {
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { // who dominates comes first
		return cmp.Or(cmp.Compare(list[a][2], list[b][2]), cmp.Compare(list[a][1], list[b][1]), cmp.Compare(list[a][0], list[b][0]), cmp.Compare(list[a][3], list[b][3]))
	})
	for _, i := range order {
		if !slices.ContainsFunc(out, func(j int) bool { return dominates(list[j], list[i]) }) {
			out = append(out, i)
		}
	}
	slices.Sort(out)
	return out
}

// grain is within what quick objectives count as equal: a twentieth.
const grain = 0.05

// coarse rounds objectives to the grain.
func coarse(v [4]float64) [4]float64 {
	for i := range v {
		v[i] = math.Round(v[i] / grain)
	}
	return v
}

// spread picks up to n of a front: the best by the goal, then those furthest in any objective
// from all that are picked or known.
func spread(list [][4]float64, goal, n int, known [][4]float64) (out []int) {
	if len(list) == 0 {
		return nil
	}
	best := 0
	for i, v := range list {
		if byGoal(v, list[best], goal) < 0 {
			best = i
		}
	}
	away := make([]float64, len(list))
	for i, v := range list {
		away[i] = math.Inf(1)
		for _, k := range known {
			away[i] = min(away[i], distance(v, k))
		}
	}
	for next := best; len(out) < n; {
		out = append(out, next)
		furthest := 0.0
		for i, v := range list {
			away[i] = min(away[i], distance(v, list[out[len(out)-1]]))
			if away[i] > furthest {
				next, furthest = i, away[i]
			}
		}
		if furthest == 0 {
			break
		}
	}
	return out
}

func distance(a, b [4]float64) (d float64) {
	for i := range a {
		d = max(d, math.Abs(a[i]-b[i]))
	}
	return d
}
