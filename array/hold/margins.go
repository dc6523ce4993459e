package hold

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/grid"
)

// Search says how hard to look for the worst pattern of the other pixels.
type Search struct {
	Reach  int    // pixels within so many pitches are switched one by one; 0 takes 3
	Starts int    // seeded random patterns to start from besides the set ones; 0 takes 2
	Seed   uint64 // of the random patterns
}

func (s Search) filled() Search {
	if s.Reach <= 0 {
		s.Reach = 3
	}
	if s.Starts <= 0 {
		s.Starts = 2
	}
	return s
}

// Margin is how far a pixel stays from doing the opposite of what it is told, in the
// worst pattern of the others that was found.
//
// At most as many pixels are on as the firmware lights at once (drive.most_lit).
//
// Hold is not linear in the levels, so no pattern is known to be the worst. The
// search starts from the patterns worst for the axial field either way, all dark, all
// lit, the ring of neighbours, all but those about the pixel, these dark or reversed, and
// random ones, and switches pixels within Reach one by one as long as that makes it worse;
// in the worst then all within finishReach. Where all that may be on are, it swaps one that
// does least for one that is dark. What it finds is a pattern that exists, so a
// margin can be smaller than told, never larger.
type Margin struct {
	Row, Col int
	// FalseOn is the greatest hold ratio of the pixel dark; FalseOff the least of the
	// pixel at full level, its own drop alone: none leans on it, and in a vertical
	// display the pixel below it is not lit, which would bear its drop.
	FalseOn, FalseOff float64
	// OnBound and OffBound are the ratios that no pattern goes beyond, by branch and bound,
	// of a dark pixel by the relaxation alone where the effort ended first; +Inf and 0 where
	// nothing is known. They stand a little off the ratios found even where these are the
	// worst.
	OnBound, OffBound float64
	// OnMargin is the limit false_on less OnBound, OffMargin OffBound less the limit hold;
	// negative when broken. Where nothing is proven they are those of the ratios found.
	OnMargin, OffMargin float64
	// LinearOn and LinearOff are the same ratios in the patterns worst for the axial
	// field, where the search began.
	LinearOn, LinearOff float64
	OnLevels, OffLevels []float64 // the patterns; the pixel's own level is 0 and full
	Tried               int       // patterns looked at
}

// OnProven tells whether there is a bound of the dark pixel's ratio.
func (m Margin) OnProven() bool { return !math.IsInf(m.OnBound, 1) }

// OffProven tells whether there is a bound of the lit pixel's ratio.
func (m Margin) OffProven() bool { return m.OffBound > 0 }

// Margins searches for the margins of the pixels at places, row and column each.
// Currents are those of cold coils, see grid.At.
func Margins(ctx context.Context, g *grid.Grid, s Search, places [][2]int) ([]Margin, error) {
	w := newDisturbance(g, s)
	list := make([]Margin, len(places))
	var err error
	for k, p := range places {
		if list[k], err = w.margin(ctx, p[0], p[1]); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// TypicalPlaces are the pixels in the middle of the grid, of its edges and in a corner,
// each once.
func TypicalPlaces(g *grid.Grid) [][2]int {
	d := g.Design.Grid
	var list [][2]int
	for _, p := range [][2]int{
		{d.Rows / 2, d.Cols / 2}, {0, d.Cols / 2}, {d.Rows - 1, d.Cols / 2}, {d.Rows / 2, 0}, {0, 0}, {d.Rows - 1, 0},
	} {
		known := false
		for _, q := range list {
			known = known || p == q
		}
		if !known {
			list = append(list, p)
		}
	}
	return list
}

// finishReach is how many pitches away pixels are switched one by one in the worst pattern
// found so far.
const finishReach = 7

// disturbance is the scratch of a search: the field on the samples that one pixel's
// hold is read from, and what every near pixel adds to them.
type disturbance struct {
	grid   *grid.Grid
	hold   *Meter
	search Search
	allow  []float64 // levels a driver can give

	row, col int
	block    box
	plane    *grid.Plane // Π in the pattern being tried, on the block
	parts    []part      // the pattern's turns: the rows' in mode scan, or one for all
	sum      []float64   // on the block, the pattern's Π times the turns
	mean     []r3.Vec    // and its field times the turns
	follows  float64     // how much of the turns the fluid follows
	levels   []float64
	on       int // other pixels that are on
	states   []grid.State
	near     []int // pixels that are switched, nearest first
	stamps   map[int][]r3.Vec
	passed   []r3.Vec
	amps     []allowed
	axial    []float64
	tried    int
}

// allowed is what a pixel has at a level that it was given before.
type allowed struct {
	level float64
	amps  grid.Amps // while it is on
	by    float64   // A, the current that its field goes by
	rock  grid.Rocked
}

// part is the field of one turn on the block, row by row.
type part struct {
	b     []r3.Vec     // T
	swing []grid.Swing // of the ripples
	pi    []float64    // Pa
}

func newDisturbance(g *grid.Grid, s Search) *disturbance {
	n := g.Design.Pixels()
	w := &disturbance{
		grid: g, hold: New(g), search: s.filled(), allow: []float64{0, 1}, plane: grid.NewPlane(g.Raster),
		levels: make([]float64, n), states: make([]grid.State, n),
		stamps: map[int][]r3.Vec{}, axial: g.Axial(), parts: make([]part, g.Turns()), follows: g.FollowsTurns(),
	}
	if g.Design.Drive.Bridge == design.BridgeFull {
		w.allow = []float64{0, 1, -1}
	}
	return w
}

// margin searches for both of a pixel's margins.
func (w *disturbance) margin(ctx context.Context, row, col int) (Margin, error) {
	g := w.grid
	w.aim(row, col)
	m := Margin{Row: row, Col: col}
	var err error
	if m.FalseOn, m.LinearOn, m.OnLevels, err = w.worst(ctx, 0); err != nil {
		return m, err
	}
	if m.FalseOff, m.LinearOff, m.OffLevels, err = w.worst(ctx, g.FullLevel()); err != nil {
		return m, err
	}
	if m.OnBound, m.FalseOn, m.OnLevels, err = w.bound(ctx, 0, m.OnLevels); err != nil {
		return m, err
	}
	if m.OffBound, m.FalseOff, m.OffLevels, err = w.bound(ctx, g.FullLevel(), m.OffLevels); err != nil {
		return m, err
	}
	on, off := m.OnBound, m.OffBound
	if !m.OnProven() {
		on = m.FalseOn
	}
	if !m.OffProven() {
		off = m.FalseOff
	}
	m.OnMargin, m.OffMargin = g.Design.Limits.FalseOn-on, off-g.Design.Limits.Hold
	m.Tried = w.tried
	return m, nil
}

// aim chooses the pixel that is disturbed.
func (w *disturbance) aim(row, col int) {
	w.row, w.col, w.tried = row, col, 0
	i0, i1, j0, j1 := w.hold.Reads(row, col)
	w.block = box{i0, i1, j0, j1}
	clear(w.stamps)
	w.near = w.around(w.search.Reach)
}

// around are the other pixels within so many pitches, nearest first.
func (w *disturbance) around(reach int) (list []int) {
	d, row, col := w.grid.Design.Grid, w.row, w.col
	for r := max(0, row-reach); r <= min(d.Rows-1, row+reach); r++ {
		for c := max(0, col-reach); c <= min(d.Cols-1, col+reach); c++ {
			away := (r-row)*(r-row) + (c-col)*(c-col)
			if away != 0 && away <= reach*reach {
				list = append(list, r*d.Cols+c)
			}
		}
	}
	away := func(k int) int { r, c := k/d.Cols-row, k%d.Cols-col; return r*r + c*c }
	sort.SliceStable(list, func(a, b int) bool { return away(list[a]) < away(list[b]) })
	return list
}

// worst searches with the pixel at its own level: for the greatest hold of a dark one,
// for the least of a lit one. linear is the ratio in the start that is worst for the
// axial field.
func (w *disturbance) worst(ctx context.Context, own float64) (ratio, linear float64, levels []float64, err error) {
	levels, ratio, linear, err = w.from(ctx, w.starts(own))
	return ratio, linear, levels, err
}

// from is worst from the patterns given.
func (w *disturbance) from(ctx context.Context, starts [][]float64) (levels []float64, ratio, linear float64, err error) {
	best := math.Inf(-1)
	for k, start := range starts {
		w.set(start)
		score, r := w.score()
		if k < 2 && (k == 0 || (w.states[w.row*w.grid.Design.Grid.Cols+w.col] == grid.Dark) == (r > linear)) {
			linear = r
		}
		if score, r, err = w.climb(ctx, score, r); err != nil {
			return nil, 0, 0, fmt.Errorf("searching for the worst pattern: %w", err)
		}
		if k == 0 || score > best {
			best, ratio = score, r
			levels = append(levels[:0], w.levels...)
		}
	}
	w.set(levels)
	near := w.near
	w.near = w.around(finishReach)
	_, ratio, err = w.climb(ctx, best, ratio)
	if w.near = near; err != nil {
		return nil, 0, 0, fmt.Errorf("searching for the worst pattern: %w", err)
	}
	return append(levels[:0], w.levels...), ratio, linear, nil
}

// starts are the patterns to start from; the first two are the worst for the axial
// field, the other way round the second.
func (w *disturbance) starts(own float64) [][]float64 {
	g := w.grid
	d := g.Design.Grid
	n := d.Rows * d.Cols
	at := d.Cols*w.row + w.col
	const rings = 3
	list := make([][]float64, 5+2*rings+w.search.Starts)
	for k := range list {
		list[k] = make([]float64, n)
	}
	rng := rand.New(rand.NewPCG(w.search.Seed, uint64(at)))
	full := g.FullLevel()
	for k := range n {
		v := w.offset(k)
		for s, sign := range []float64{1, -1} {
			switch level := math.Copysign(1, v*sign); {
			case v == 0:
			case level > 0 || len(w.allow) > 2:
				list[s][k] = level
			}
		}
		list[3][k] = full
		away := math.Hypot(float64(k/d.Cols-w.row), float64(k%d.Cols-w.col))
		for r := range rings {
			inside := full
			if len(w.allow) > 2 {
				inside = -full
			}
			if away < float64(r)+1.5 {
				list[6+2*r][k] = inside
			} else {
				list[5+2*r][k] = full
				if len(w.allow) > 2 {
					list[6+2*r][k] = full
				}
			}
		}
		for s := 5 + 2*rings; s < len(list); s++ {
			list[s][k] = w.allow[rng.IntN(len(w.allow))]
		}
	}
	for _, k := range w.near[:min(8, len(w.near))] {
		list[4][k] = full
	}
	for s := range list {
		list[s][at] = own
		if k := w.bearer(own); k >= 0 && g.StateOf(list[s][k]) == grid.Lit {
			list[s][k] = 0
		}
		w.cap(list[s], w.others(own))
	}
	return list
}

// offset is the axial field per ampere of pixel k at the one aimed at.
func (w *disturbance) offset(k int) float64 {
	cols := w.grid.Design.Grid.Cols
	r, c := k/cols-w.row, k%cols-w.col
	return w.axial[max(r, -r)*cols+max(c, -c)]
}

// cap darkens the pixels that do least to the axial field until no more are on than may be.
func (w *disturbance) cap(levels []float64, most int) {
	var on []int
	for k, v := range levels {
		if v != 0 && k != w.row*w.grid.Design.Grid.Cols+w.col {
			on = append(on, k)
		}
	}
	sort.SliceStable(on, func(a, b int) bool { return math.Abs(w.offset(on[a])) > math.Abs(w.offset(on[b])) })
	for _, k := range on[min(len(on), most):] {
		levels[k] = 0
	}
}

// others is how many other pixels may be on beside one at its own level.
func (w *disturbance) others(own float64) int {
	if own != 0 {
		return w.grid.Design.Drive.MostLit - 1
	}
	return w.grid.Design.Drive.MostLit
}

// bearer is the pixel that must not be lit while a lit one is searched, −1 for none.
func (w *disturbance) bearer(own float64) int {
	d := w.grid.Design.Grid
	row := w.row + w.hold.down()
	if w.grid.StateOf(own) == grid.Dark || !w.hold.vertical() || row < 0 || row >= d.Rows {
		return -1
	}
	return row*d.Cols + w.col
}

// set puts a whole pattern on.
func (w *disturbance) set(levels []float64) {
	g := w.grid
	copy(w.levels, levels)
	w.on = 0
	for k, v := range levels {
		w.states[k] = g.StateOf(v)
		if v != 0 && k != w.row*g.Design.Grid.Cols+w.col {
			w.on++
		}
	}
	size := (w.block.i1 - w.block.i0) * (w.block.j1 - w.block.j0)
	w.sum, w.mean = append(w.sum[:0], make([]float64, size)...), append(w.mean[:0], make([]r3.Vec, size)...)
	bias := w.grid.BiasPlane
	for t := range w.parts {
		p := &w.parts[t]
		p.b, p.pi = append(p.b[:0], make([]r3.Vec, size)...), append(p.pi[:0], make([]float64, size)...)
		p.swing = append(p.swing[:0], make([]grid.Swing, size)...)
		if bias != nil {
			w.each(func(n, at int) { p.b[n] = r3.Vec{X: bias.Bx[at], Y: bias.By[at], Z: bias.Bz[at]} })
		}
		for k, v := range levels {
			if v != 0 && g.TurnOf(k) == t {
				w.put(p, k, v)
			}
		}
		for n, b := range p.b {
			p.pi[n] = g.Felt(b, p.swing[n])
			w.sum[n] += p.pi[n]
			w.mean[n] = r3.Add(w.mean[n], b)
		}
	}
	w.each(func(n, at int) { w.plane.Pi[at] = w.over(w.sum[n], w.mean[n]) })
}

// put adds a pixel's field and its swing to a turn on the block.
func (w *disturbance) put(p *part, k int, level float64) {
	g, a, stamp := w.grid, w.at(level), w.passing(k)
	i0, i1, j0, j1 := g.RippleBlock(k)
	counted, n := box{i0, i1, j0, j1}, 0
	for i := w.block.i0; i < w.block.i1; i++ {
		for j := w.block.j0; j < w.block.j1; j++ {
			v := stamp[n]
			p.b[n] = r3.Vec{X: p.b[n].X + a.by*v.X, Y: p.b[n].Y + a.by*v.Y, Z: p.b[n].Z + a.by*v.Z}
			if !a.rock.None() && counted.holds(i, j) {
				p.swing[n] = a.rock.Add(p.swing[n], v)
			}
			n++
		}
	}
}

// at is what a pixel has at a level.
func (w *disturbance) at(level float64) *allowed {
	for i := range w.amps {
		if w.amps[i].level == level {
			return &w.amps[i]
		}
	}
	a := w.grid.At(level)
	a.Mean *= float64(len(w.parts))
	w.amps = append(w.amps, allowed{level, a, w.grid.Pixel.Iron.Effective(a.Mean), w.grid.Rock(a)})
	return &w.amps[len(w.amps)-1]
}

// current is that of a pixel at a level while it is on.
func (w *disturbance) current(level float64) grid.Amps { return w.at(level).amps }

// over is the pressure over all turns, given the sums over them of the pressure and of the
// field.
func (w *disturbance) over(sum float64, b r3.Vec) float64 {
	turns := float64(len(w.parts))
	if w.follows == 1 {
		return sum / turns
	}
	return w.lagging(sum, b)
}

// lagging is over where the fluid does not follow the turns.
func (w *disturbance) lagging(sum float64, b r3.Vec) float64 {
	turns := float64(len(w.parts))
	mean := r3.Scale(1/turns, b)
	return w.follows*sum/turns + (1-w.follows)*w.grid.Felt(mean, grid.Swing{})
}

// each calls f for the block's samples: n counts them, at is the place in a plane.
func (w *disturbance) each(f func(n, at int)) {
	n := 0
	for a := w.block.i0; a < w.block.i1; a++ {
		for b := w.block.j0; b < w.block.j1; b++ {
			f(n, a*w.grid.Raster.Cols+b)
			n++
		}
	}
}

// score is larger for a worse pattern: a dark pixel that holds more, or is nearer to
// holding at all; a lit one that holds less.
func (w *disturbance) score() (score, ratio float64) {
	w.tried++
	ratio, rise := w.hold.RatioAt(w.row, w.col, w.plane, w.states)
	if w.states[w.row*w.grid.Design.Grid.Cols+w.col] != grid.Dark {
		return -ratio, ratio
	}
	if ratio == 0 {
		return min(rise, 0), 0
	}
	return ratio, ratio
}

// climb switches near pixels one by one as long as the score grows, and where no more may be
// on swaps them.
func (w *disturbance) climb(ctx context.Context, score, ratio float64) (float64, float64, error) {
	own := w.levels[w.row*w.grid.Design.Grid.Cols+w.col]
	most := w.others(own)
	for better, pass := true, 0; better && pass < 8; pass++ {
		better = false
		step := func(dark bool) (stepped bool, err error) {
			for _, k := range w.near {
				if err := ctx.Err(); err != nil {
					return stepped, err
				}
				for _, level := range w.allow {
					old := w.levels[k]
					if level == old || dark && old != 0 || old == 0 && w.on >= most || k == w.bearer(own) && w.grid.StateOf(level) == grid.Lit {
						continue
					}
					w.try(k, level)
					if s, r := w.score(); s > score+1e-12*math.Abs(score) {
						w.keep(k, level)
						score, ratio, better, stepped = s, r, true, true
					} else {
						w.states[k] = w.grid.StateOf(old)
					}
				}
			}
			return stepped, nil
		}
		if _, err := step(false); err != nil {
			return score, ratio, err
		}
		if w.on < most {
			continue
		}
		for _, k := range w.weakest() {
			old := w.levels[k]
			w.keep(k, 0)
			if swapped, err := step(true); err != nil {
				return score, ratio, err
			} else if !swapped {
				w.keep(k, old)
			}
		}
	}
	return score, ratio, nil
}

// swapped is how many pixels are tried to be swapped for others in a round.
const swapped = 6

// weakest are the other pixels that are on without which the score is highest.
func (w *disturbance) weakest() []int {
	var list []int
	without := map[int]float64{}
	for k, old := range w.levels {
		if old == 0 || k == w.row*w.grid.Design.Grid.Cols+w.col {
			continue
		}
		w.try(k, 0)
		without[k], _ = w.score()
		w.states[k] = w.grid.StateOf(old)
		list = append(list, k)
	}
	sort.SliceStable(list, func(a, b int) bool { return without[list[a]] > without[list[b]] })
	return list[:min(len(list), swapped)]
}

// try fills Π on the block as if pixel k had a level.
func (w *disturbance) try(k int, level float64) { w.change(k, level, false) }

// keep makes the level of pixel k part of the pattern.
func (w *disturbance) keep(k int, level float64) {
	w.change(k, level, true)
	if w.levels[k] != 0 {
		w.on--
	}
	if level != 0 {
		w.on++
	}
	w.levels[k] = level
}

func (w *disturbance) change(k int, level float64, keep bool) {
	g := w.grid
	then := *w.at(w.levels[k]) // the next may move it
	now := w.at(level)
	by, rock := now.by-then.by, now.rock.Less(then.rock)
	stamp := w.stamp(k)
	p := &w.parts[g.TurnOf(k)]
	var counted box
	counted.i0, counted.i1, counted.j0, counted.j1 = g.RippleBlock(k)
	n := 0
	for a := w.block.i0; a < w.block.i1; a++ {
		for b := w.block.j0; b < w.block.j1; b++ {
			v, at := stamp[n], a*g.Raster.Cols+b
			field := r3.Vec{X: p.b[n].X + by*v.X, Y: p.b[n].Y + by*v.Y, Z: p.b[n].Z + by*v.Z}
			swing := p.swing[n]
			if !rock.None() && counted.holds(a, b) {
				swing = rock.Add(swing, v)
			}
			pi := g.Felt(field, swing)
			sum := w.sum[n] + pi - p.pi[n]
			mean := w.mean[n]
			if w.follows < 1 {
				mean = r3.Add(mean, r3.Scale(by, v))
			}
			w.plane.Pi[at] = w.over(sum, mean)
			if keep {
				p.b[n], p.swing[n], p.pi[n], w.sum[n], w.mean[n] = field, swing, pi, sum, mean
			}
			n++
		}
	}
	w.states[k] = g.StateOf(level)
}

// stamp is the field per ampere of pixel k on the block, in the order of each.
func (w *disturbance) stamp(k int) []r3.Vec {
	s := w.stamps[k]
	if s == nil {
		s = w.grid.FieldOn(nil, k, w.block.i0, w.block.i1, w.block.j0, w.block.j1)
		w.stamps[k] = s
	}
	return s
}

// passing is stamp until the next call: it is kept where there is room.
func (w *disturbance) passing(k int) []r3.Vec {
	if s := w.stamps[k]; s != nil || (len(w.stamps)+1)*len(w.mean) < mostStamps {
		return w.stamp(k)
	}
	w.passed = w.grid.FieldOn(w.passed[:0], k, w.block.i0, w.block.i1, w.block.j0, w.block.j1)
	return w.passed
}

// mostStamps is how many fields are kept, 24 MB.
const mostStamps = 1_000_000
