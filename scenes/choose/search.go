package choose

import (
	"cmp"
	"context"
	"maps"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"lodegrid/array/design"
	"lodegrid/scenes"
	"lodegrid/scenes/verdict"
)

// Limit is what may keep a candidate out: a limit of a verdict, or one of these.
type Limit = verdict.Limit

// What else keeps a candidate out.
const (
	Made   Limit = "board"     // the board house does not make it, or the middle has no room
	Bought Limit = "supply"    // no supply on offer gives its power
	Move   Limit = "goal.move" // a drop takes longer to its neighbour
	Beaten Limit = "beaten"    // another is as good in everything and better in something
)

// Limits are what is looked at, in this order: the first that a candidate breaks stops it.
var Limits = []Limit{Made, verdict.Releases, verdict.Wiring, verdict.Holding, verdict.Board, verdict.Touch, Bought, Move, Beaten}

// Family are the candidates of one board in one copper.
type Family struct {
	Copper  float64 // m
	Layers  int
	Tried   int
	Stopped map[Limit]int // by the first limit that does
}

// Opening is what one limit keeps out by itself.
type Opening struct {
	Limit Limit
	Alone int     // candidates that break this one only
	Best  float64 // the best value among them, in the limit's unit, or NaN
	Exact bool    // worked out in full, not a quick figure
}

// Result is what a search found.
type Result struct {
	Offer Offer
	Move  float64 // s, that a hand-over may take
	Tried int
	// Front are the designs that keep the goal and that none beats, the best by the goal
	// first; each worked out in full. Failed are those worked out that do not.
	Front, Failed []*Choice
	// Refused says why others that were tried could not be worked out.
	Refused  []string
	Families []Family
	// Openings are the limits by how many they keep out alone, where the front is empty.
	Openings []Opening
	// Errors are by how much the quick figures of those worked out were off at most, as a
	// share: force, heat, rise of the surface, time.
	Errors [4]float64
}

// First is the best design, nil without one.
func (r *Result) First() *Choice {
	if len(r.Front) == 0 {
		return nil
	}
	return r.Front[0]
}

// How many designs are worked out in full unless asked otherwise, and where moves are planned
// for each.
const usually, carried = 12, 5

// rounds is how often the quick figures are put right by what was worked out, further rounds
// are for where nothing keeps the goal by then that does by the quick figures.
const rounds, further = 3, 3

// spare is how many are picked for one to be worked out, should some not be possible.
const spare = 3

// judged is a candidate with its quick figures, told by indices.
type judged struct {
	wound, steel, drive int
	Figures
}

// space is what was evaluated: coils, each with the steel behind it, on every drive, and those
// that every drive leaves with the same limit broken, whose figures are only worked out where
// nothing else is left.
type space struct {
	steels []steel
	drives []supplied
	wounds []*made
	pairs  []pair
	barred []barred
}

// pair is a coil on its steel, with the figures on each drive.
type pair struct {
	wound, steel int
	release      float64
	driven       []brief
}

// brief are a candidate's figures as they are kept, to seven digits: there are millions.
type brief struct {
	force, heat, power, turn, touch, time, price float32
	ways                                         bool
}

func (all *space) count() int { return len(all.pairs) * len(all.drives) }

// judged is a candidate by its number.
func (q *quick) judged(all *space, i int) judged {
	p, drive := &all.pairs[i/len(all.drives)], i%len(all.drives)
	b := &p.driven[drive]
	f := Figures{Force: float64(b.force), Release: p.release, Heat: float64(b.heat), Power: float64(b.power), Turn: float64(b.turn), Touch: float64(b.touch), Time: float64(b.time), Price: float64(b.price), Ways: b.ways}
	f.Ratio = q.ratio(f.Force)
	return judged{p.wound, p.steel, drive, f}
}

type barred struct {
	wound, steel int
	by           Limit
}

// Search finds the best front of an offer for a design's pitch, liquid, height, mounting and
// limits with a scene, working out so many designs in full at most, 0 for the usual.
func Search(ctx context.Context, d design.Design, s scenes.Scene, o Offer, most int) (*Result, error) {
	q, err := newQuick(ctx, d, o, s)
	if err != nil {
		return nil, err
	}
	if most == 0 {
		if most = usually; q.carry {
			most = carried
		}
	}
	r := &Result{Offer: o, Move: q.move}
	all, err := q.all(ctx, r)
	if err != nil {
		return nil, err
	}
	open := false
	for i := 0; i < all.count() && !open; i++ {
		open = first(q.broken(q.judged(all, i).Figures, r.Move)) == ""
	}
	if !open {
		if err := q.unbar(ctx, all); err != nil {
			return nil, err
		}
	}
	steels, drives, wounds := all.steels, all.drives, all.wounds
	mended := map[steel]mending{}
	told := map[int]*Choice{} // worked out, by index
	refusedOnes := map[int]bool{}
	var keep []int
	correct := func(j judged) Figures {
		f := j.Figures
		if m, ok := mended[steels[j.steel]]; ok {
			f.Force, f.Ratio, f.Heat, f.Time = f.Force*m.mean[0], f.Ratio*m.least[4], f.Heat*m.mean[1], f.Time*m.mean[3]
			rise := m.most[2]
			if q.carry { // what the moves cost differs too much for the worst to stand for all
				rise = m.mean[2]
			}
			f.Touch, f.Turn = d.Heat.Ambient+(f.Touch-d.Heat.Ambient)*rise, d.Heat.Ambient+(f.Turn-d.Heat.Ambient)*rise
		}
		return f
	}
	goal := q.offer.Best.by()
	found := false
	for round := range rounds + further {
		if found && round >= rounds {
			break
		}
		keep = keep[:0]
		var goals, kept [][4]float64
		seen := map[[4]float64]int{} // the best of those that count as equal
		for i := range all.count() {
			f := correct(q.judged(all, i))
			if first(q.broken(f, r.Move)) != "" || refusedOnes[i] {
				continue
			}
			if c := told[i]; c != nil && len(c.Broken) > 0 {
				continue
			}
			v := f.objectives()
			if at, known := seen[coarse(v)]; !known {
				seen[coarse(v)] = len(keep)
				keep, kept, goals = append(keep, i), append(kept, v), append(goals, coarse(v))
			} else if told[keep[at]] == nil && (told[i] != nil || byGoal(v, kept[at], goal) < 0) {
				keep[at], kept[at] = i, v
			}
		}
		var best []int
		var values [][4]float64
		for _, k := range front(goals) {
			if told[keep[k]] == nil {
				best, values = append(best, keep[k]), append(values, kept[k])
			}
		}
		var known [][4]float64
		for _, i := range slices.Sorted(maps.Keys(told)) {
			if c := told[i]; len(c.Broken) == 0 {
				known = append(known, c.objectives())
			}
		}
		left, late := 0, round >= rounds
		if !late {
			left = (most - len(told) + rounds - round - 1) / (rounds - round)
		} else if len(keep) > 0 {
			left = (most + further - 1) / further
		}
		picked := spread(values, goal, spare*left, known)
		if among := keep; len(best) == 0 || late { // by the quick figures; those that come nearest may do
			if !late {
				among = nil
			}
			best, picked = q.nearest(all, among, correct, r.Move, told, refusedOnes, spare*left), nil
			for k := range best {
				picked = append(picked, k)
			}
		}
		if q.carry && round == 0 && len(keep) > 0 { // the quick surface errs, and the front stands at its limits
			touch := func(i int) float64 { return q.judged(all, i).Touch }
			coolest := slices.MinFunc(keep, func(a, b int) int { return cmp.Compare(touch(a), touch(b)) })
			best, picked = append(best, coolest), append([]int{len(best)}, picked...)
		}
		for _, k := range picked {
			if left == 0 {
				break
			}
			if told[best[k]] != nil {
				continue
			}
			j := q.judged(all, best[k])
			w := wounds[j.wound]
			x, err := q.work(ctx, s, w, Candidate{w.winding, steels[j.steel], drives[j.drive]}, j.Figures, r.Move)
			if refused(ctx, err) {
				refusedOnes[best[k]] = true
				if text := err.Error(); !slices.Contains(r.Refused, text) {
					r.Refused = append(r.Refused, text)
				}
				continue
			}
			if err != nil {
				return nil, err
			}
			told[best[k]], found = x, found || len(x.Broken) == 0
			left--
		}
		mended = mend(told, d.Heat.Ambient)
	}
	r.gather(told, q)
	if len(r.Front) == 0 { // what bars alone is asked
		if err := q.unbar(ctx, all); err != nil {
			return nil, err
		}
	}
	r.count(q, all, correct)
	return r, nil
}

// nearest are up to n candidates, not yet looked at, that break their limits by least or stay
// farthest from them; among some, nil for all.
func (q *quick) nearest(all *space, among []int, correct func(judged) Figures, move float64, told map[int]*Choice, refused map[int]bool, n int) (order []int) {
	var short []float64
	list := slices.Values(among)
	if among == nil {
		list = func(yield func(int) bool) {
			for i := 0; i < all.count() && yield(i); i++ {
			}
		}
	}
	for i := range list {
		s := q.short(correct(q.judged(all, i)), move)
		if told[i] != nil || refused[i] || math.IsInf(s, 1) || n == 0 || len(short) == n && s >= short[n-1] {
			continue
		}
		at := sort.Search(len(short), func(k int) bool { return short[k] > s })
		short, order = slices.Insert(short, at, s), slices.Insert(order, at, i)
		short, order = short[:min(n, len(short))], order[:min(n, len(order))]
	}
	return order
}

// short is by how much figures miss their limits, as a sum of logarithms, or less than 0 by how
// far they stay from the nearest; +Inf where no design can be made of them.
func (q *quick) short(f Figures, move float64) float64 {
	l, air := q.design.Limits, q.design.Heat.Ambient
	if !f.Ways || math.IsInf(f.Price, 1) {
		return math.Inf(1)
	}
	sum, most := 0.0, math.Inf(-1)
	for _, v := range []float64{l.Hold / f.Ratio, f.Release / l.FalseOn, (f.Turn - air) / (l.Board - air), (f.Touch - air) / (l.Touch - air), f.Time / move} {
		v = math.Log(v)
		sum, most = sum+min(max(v, 0), 10), max(most, v)
	}
	if most <= 0 {
		return most
	}
	return sum
}

// all evaluates every candidate.
func (q *quick) all(ctx context.Context, r *Result) (*space, error) {
	all := &space{steels: q.offer.steels(), drives: q.offer.drives()}
	steels, drives := all.steels, all.drives
	type lot struct {
		steel  int
		wounds []int
	}
	lots := map[place]*lot{}
	var order []place
	wound := map[winding]bool{}
	for _, w := range q.offer.windings(q.design.Grid.Pitch, q.design.Board.HoleClearance) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		f := r.family(w)
		n := len(steels) * len(drives)
		x, err := q.wind(w)
		if err != nil {
			f.Tried, f.Stopped[Made] = f.Tried+n, f.Stopped[Made]+n
			continue
		}
		same := w // with as much free middle as its turns leave
		if same.inner = x.coil.Spec().Inner; wound[same] {
			continue
		}
		wound[same], all.wounds, f.Tried = true, append(all.wounds, x), f.Tried+n
		for k, s := range steels {
			if !q.fits(x, s) {
				f.Stopped[Made] += len(drives)
				continue
			}
			at := place{w.thickness, s}
			if lots[at] == nil {
				lots[at], order = &lot{steel: k}, append(order, at)
			}
			lots[at].wounds = append(lots[at].wounds, len(all.wounds)-1)
		}
	}
	for _, at := range order {
		l := lots[at]
		a, err := q.at(ctx, all.wounds[l.wounds[len(l.wounds)/2]], at.steel)
		if err != nil {
			return nil, err
		}
		for _, k := range l.wounds {
			if by := q.stopped(all.wounds[k], at.steel, a); by != "" {
				all.barred = append(all.barred, barred{k, l.steel, by})
			} else if err := q.judge(ctx, all, k, l.steel, a); err != nil {
				return nil, err
			}
		}
	}
	for _, f := range r.Families {
		r.Tried += f.Tried
	}
	return all, nil
}

// judge evaluates a coil on its steel with every drive.
func (q *quick) judge(ctx context.Context, all *space, wound, steel int, a *anchor) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	p := pair{wound, steel, q.dark(all.steels[steel], a), make([]brief, len(all.drives))}
	q.each(all.wounds[wound], all.steels[steel], a, all.drives, func(v int, f Figures) {
		p.driven[v] = brief{float32(f.Force), float32(f.Heat), float32(f.Power), float32(f.Turn), float32(f.Touch), float32(f.Time), float32(f.Price), f.Ways}
	})
	all.pairs = append(all.pairs, p)
	return nil
}

// unbar evaluates what was barred, too.
func (q *quick) unbar(ctx context.Context, all *space) error {
	for _, b := range all.barred {
		w := all.wounds[b.wound]
		a, err := q.at(ctx, w, all.steels[b.steel])
		if err != nil {
			return err
		}
		if err := q.judge(ctx, all, b.wound, b.steel, a); err != nil {
			return err
		}
	}
	all.barred = nil
	return nil
}

// family is that of a winding.
func (r *Result) family(w winding) *Family {
	i := slices.IndexFunc(r.Families, func(f Family) bool { return f.Copper == w.copper.Weight && f.Layers == w.board.Layers })
	if i < 0 {
		i = len(r.Families)
		r.Families = append(r.Families, Family{Copper: w.copper.Weight, Layers: w.board.Layers, Stopped: map[Limit]int{}})
	}
	return &r.Families[i]
}

// broken are the limits that figures break, in the order of Limits, and the value of each.
func (q *quick) broken(f Figures, move float64) (list []Limit, values []float64) {
	l := q.design.Limits
	for _, c := range []struct {
		limit Limit
		value float64
		bad   bool
	}{
		{verdict.Releases, f.Release, f.Release > l.FalseOn}, {verdict.Wiring, math.NaN(), !f.Ways}, {verdict.Holding, f.Ratio, f.Ratio < l.Hold},
		{verdict.Board, f.Turn, f.Turn > l.Board}, {verdict.Touch, f.Touch, f.Touch > l.Touch},
		{Bought, f.Power, math.IsInf(f.Price, 1)}, {Move, f.Time, f.Time > move},
	} {
		if c.bad {
			list, values = append(list, c.limit), append(values, c.value)
		}
	}
	return list, values
}

// first is the first of some limits, "" for none.
func first(list []Limit, _ []float64) Limit {
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

// mending are the factors by which the quick figures of coils on the same steel are off: on average,
// at least and at most.
type mending struct{ mean, least, most [5]float64 }

// mend finds them in what was worked out.
func mend(told map[int]*Choice, air float64) map[steel]mending {
	logs := map[steel]*[5][]float64{}
	for _, i := range slices.Sorted(maps.Keys(told)) { // sums do not depend on the order
		c := told[i]
		k := c.of.steel
		if logs[k] == nil {
			logs[k] = &[5][]float64{}
		}
		for n, v := range c.off(air) {
			if v > 0 && !math.IsInf(v, 0) {
				logs[k][n] = append(logs[k][n], math.Log(v))
			}
		}
	}
	out := map[steel]mending{}
	for k, l := range logs {
		m := mending{}
		for n, v := range l {
			m.mean[n], m.least[n], m.most[n] = 1, 1, 1
			if len(v) > 0 {
				m.mean[n], m.least[n], m.most[n] = math.Exp(stat.Mean(v, nil)), math.Exp(floats.Min(v)), math.Exp(floats.Max(v))
			}
		}
		out[k] = m
	}
	return out
}

// off are exact figures over quick ones: force, heat, rise of the surface, time, hold ratio.
func (c *Choice) off(air float64) [5]float64 {
	a, b := c.Figures, c.quick
	return [5]float64{a.Force / b.Force, a.Heat / b.Heat, (a.Touch - air) / (b.Touch - air), a.Time / b.Time, a.Ratio / b.Ratio}
}

// gather makes the front of what was worked out.
func (r *Result) gather(told map[int]*Choice, q *quick) {
	var kept []*Choice
	var values [][4]float64
	for _, i := range slices.Sorted(maps.Keys(told)) {
		c := told[i]
		for k, v := range c.off(q.design.Heat.Ambient) {
			if k < len(r.Errors) && v > 0 && !math.IsInf(v, 0) {
				r.Errors[k] = max(r.Errors[k], math.Abs(v-1))
			}
		}
		if len(c.Broken) > 0 {
			r.Failed = append(r.Failed, c)
			continue
		}
		kept, values = append(kept, c), append(values, c.objectives())
	}
	for _, k := range front(values) {
		r.Front = append(r.Front, kept[k])
	}
	slices.SortStableFunc(r.Front, func(a, b *Choice) int { return a.before(b, q.offer.Best) })
}

// count tells which limit stops whom, by the quick figures put right.
func (r *Result) count(q *quick, all *space, correct func(judged) Figures) {
	alone := map[Limit]*Opening{}
	for _, b := range all.barred {
		r.family(all.wounds[b.wound].winding).Stopped[b.by] += len(all.drives)
	}
	for i := range all.count() {
		j := q.judged(all, i)
		f := correct(j)
		limits, values := q.broken(f, r.Move)
		if len(limits) == 0 {
			limits = []Limit{Beaten}
		} else if len(limits) == 1 {
			l := limits[0]
			if alone[l] == nil {
				alone[l] = &Opening{Limit: l, Best: values[0]}
			}
			o := alone[l]
			if o.Alone++; l == verdict.Holding {
				o.Best = max(o.Best, values[0])
			} else {
				o.Best = min(o.Best, values[0])
			}
		}
		r.family(all.wounds[j.wound].winding).Stopped[limits[0]]++
	}
	for _, c := range r.Front {
		f := r.family(c.of.winding)
		f.Stopped[Beaten]--
	}
	for _, l := range Limits {
		if o := alone[l]; o != nil {
			for _, c := range r.Failed {
				if limits, values := q.broken(c.Figures, r.Move); len(c.Broken) == 1 && len(limits) == 1 && limits[0] == l {
					if better := values[0] < o.Best != (l == verdict.Holding); better || !o.Exact {
						o.Best, o.Exact = values[0], true
					}
				}
			}
			r.Openings = append(r.Openings, *o)
		}
	}
	slices.SortStableFunc(r.Openings, func(a, b Opening) int { return b.Alone - a.Alone })
}
