package drops

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/tank"
)

const pitch = 12e-3

// params is a tank of cols × rows pixels with a margin of one and 8 samples per pitch: the
// liquids are those of a sign on a wall.
func params(cols, rows int) tank.Params {
	w, h := cols+2, rows+2
	return tank.Params{
		Width: float64(w) * pitch, Height: float64(h) * pitch, Cols: w * 8, Rows: h * 8,
		Gap: 2e-3, Density: 1361, DensityDifference: 10, Viscosity: 15e-3, SurfaceTension: 10e-3, GravityY: -9.80665,
	}
}

func pane(t testing.TB, p tank.Params) *Pane {
	t.Helper()
	d, err := New(p, 8e-3)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// field samples a pressure over a pane.
func (d *Pane) field(at func(x, y float64) float64) []float64 {
	pi := make([]float64, d.p.SampleCols*d.p.SampleRows)
	for k := range pi {
		i, j := k/d.p.SampleCols, k%d.p.SampleCols
		pi[k] = at((float64(j)+0.5)/float64(d.p.SampleCols)*d.p.Width-d.p.Width/2, d.p.Height/2-(float64(i)+0.5)/float64(d.p.SampleRows)*d.p.Height)
	}
	return pi
}

// well is a bump of pressure about a place.
func well(height, width, x0, y0 float64) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		return height * math.Exp(-((x-x0)*(x-x0)+(y-y0)*(y-y0))/(2*width*width))
	}
}

// A lone drop sinks as fast as the tank's closed form says, after the drag time.
func TestDropSinks(t *testing.T) {
	p := params(4, 8)
	d := pane(t, p)
	d.Add(0, 40e-3)
	for range 10 {
		d.Step(0.5, nil)
	}
	x, y := centre(d.parts)
	speed := p.SinkSpeed(4e-3)
	want := 40e-3 - speed*(5-d.drag*(1-math.Exp(-5/d.drag)))
	if math.Abs(y-want) > 0.005*(40e-3-want) || math.Abs(x) > 1e-12 || math.Abs(-d.parts[0].VY/speed-1) > 1e-3 {
		t.Errorf("after 5 s at %g m falling at %g m/s; by the closed form %g m, %g m/s", y, -d.parts[0].VY, want, speed)
	}
	for _, p.Floor = range []float64{0, 6e-3} {
		d = pane(t, p)
		d.Add(0, 40e-3)
		for range 400 {
			d.Step(0.5, nil)
		}
		if _, y = centre(d.parts); y > 4e-3+d.floor() || y < d.floor() || d.floor() != p.Floor-p.Height/2 || !d.Resting() {
			t.Errorf("at the end at %g m, resting %v: should rest on the bottom at %g m", y, d.Resting(), p.Floor-p.Height/2)
		}
	}
}

// centre is the middle of parts.
func centre(parts []part) (x, y float64) {
	for _, o := range parts {
		x += o.X / float64(len(parts))
		y += o.Y / float64(len(parts))
	}
	return x, y
}

// Of an even slope the pull is the volume times the slope.
func TestPull(t *testing.T) {
	d := pane(t, params(6, 6))
	const slope = 900.0
	d.pi = d.field(func(x, y float64) float64 { return 50 + slope*x - 2*slope*y })
	fx, fy, mean := d.pull(1e-3, -3e-3, d.radius)
	if v := d.volume; math.Abs(fx/(v*slope)-1) > 1e-9 || math.Abs(fy/(-2*v*slope)-1) > 1e-9 {
		t.Errorf("pull %g, %g N, want %g, %g", fx, fy, v*slope, -2*v*slope)
	}
	if want := 50 + slope*1e-3 + 2*slope*3e-3; math.Abs(mean/want-1) > 1e-9 {
		t.Errorf("%g Pa on average, want %g", mean, want)
	}
}

// A drop that comes in while the pressure stands is pulled wherever it comes in, in the middle, too.
func TestComesInUnderPressure(t *testing.T) {
	d := pane(t, params(6, 6))
	const slope = 900.0
	pi := d.field(func(x, _ float64) float64 { return slope * x })
	d.Step(1e-3, pi)
	d.Add(0, -middle*d.whole) // its upper part in the tank's middle
	d.Step(1e-4, pi)
	if o := d.parts[0]; math.Hypot(o.X, o.Y) > 0.01*d.radius || math.Abs(o.pullX/(d.volume*slope)-1) > 1e-6 {
		t.Errorf("a part at %g, %g m is pulled by %g N, want %g", o.X, o.Y, o.pullX, d.volume*slope)
	}
}

// The pull of a bump of a drop's width against sixteen times the samples: the error of the
// eight samples a pitch that a display is played with.
func TestPullSamples(t *testing.T) {
	coarse := pane(t, params(4, 4))
	p := params(4, 4)
	p.SampleCols, p.SampleRows = 16*p.Cols, 16*p.Rows
	fine := pane(t, p)
	bump := well(10, 4e-3, 0.4e-3, -0.7e-3)
	coarse.pi, fine.pi = coarse.field(bump), fine.field(bump)
	worst, most := 0.0, 0.0
	for k := range 40 {
		x, y := 12e-3*math.Cos(float64(k))*float64(k)/40, 12e-3*math.Sin(float64(k))*float64(k)/40
		ax, ay, _ := coarse.pull(x, y, coarse.radius)
		bx, by, _ := fine.pull(x, y, coarse.radius)
		worst, most = max(worst, math.Hypot(ax-bx, ay-by)), max(most, math.Hypot(bx, by))
	}
	t.Logf("force off by %.2g of the greatest", worst/most)
	if worst > 0.01*most {
		t.Errorf("force off by %.2g of the greatest", worst/most)
	}
}

// Of a drop between two bumps a part goes over where they draw it apart by more than the
// two edges of a thread hold, and none does below that.
func TestParting(t *testing.T) {
	p := params(6, 6)
	p.GravityY = 0
	for _, c := range []struct {
		height float64
		parts  bool
	}{{3, false}, {60, true}} {
		d := pane(t, p)
		d.Add(0.3e-3, 0)
		both := d.field(func(x, y float64) float64 {
			return well(c.height, 3e-3, -7e-3, 0)(x, y) + well(c.height, 3e-3, 7e-3, 0)(x, y)
		})
		for range 20 {
			d.Step(0.2, both)
		}
		left := 0
		for _, o := range d.parts {
			if o.X < 0 {
				left++
			}
		}
		if gone := len(d.joints) < 2; gone != c.parts || c.parts && left%thirds == 0 {
			t.Errorf("bumps of %g Pa: %d joints, %d of %d parts on the left", c.height, len(d.joints), left, thirds)
		}
		if c.parts {
			for _, o := range d.parts {
				if math.Abs(math.Abs(o.X)-7e-3) > 2e-3 {
					t.Errorf("a part is at %g m", o.X)
				}
			}
		}
	}
}

// Two drops that are pushed into each other join and stay near each other, at rest.
func TestMeeting(t *testing.T) {
	p := params(6, 6)
	p.GravityY = 0
	d := pane(t, p)
	d.Add(-5e-3, 0)
	d.Add(5e-3, 0)
	middle := d.field(well(20, 5e-3, 0, 0))
	for _, pi := range [][]float64{middle, nil} {
		for range 50 {
			d.Step(0.2, pi)
		}
	}
	ax, _ := centre(d.parts[:thirds])
	bx, _ := centre(d.parts[thirds:])
	// Halves of a round drop of both have their middles 8√2R/3π = 4.8 mm apart; heaps come
	// out a little too dense.
	if apart := bx - ax; len(d.joints) < 7 || apart < 3.5e-3 || apart > 7e-3 || math.Abs(d.parts[0].VX) > 1e-4 {
		t.Errorf("%d joints, %g m apart, one at %g m/s", len(d.joints), apart, d.parts[0].VX)
	}
}

// A pool takes drops in, gives them up to a strong pull from above, and no volume is lost.
func TestPool(t *testing.T) {
	p := params(6, 3)
	d := pane(t, p)
	d.Pour(12)
	d.Add(0, 10e-3)
	for range 400 {
		d.Step(0.2, nil)
	}
	if d.pool != 13*thirds || len(d.parts) != 0 {
		t.Fatalf("the pool holds %d parts of 39, %d parts float", d.pool, len(d.parts))
	}
	weak, strong := d.field(well(4, 5e-3, 6e-3, -12e-3)), d.field(well(600, 5e-3, 6e-3, -12e-3))
	if d.Step(5, weak); len(d.parts) != 0 {
		t.Errorf("a weak pull drew %d parts", len(d.parts))
	}
	if d.Step(5, strong); len(d.parts) == 0 {
		t.Fatal("a strong pull drew no part")
	}
	if x, y := centre(d.parts[:thirds]); math.Hypot(x-6e-3, y+12e-3) > 6e-3 {
		t.Errorf("the first drop rests at %g, %g m", x, y)
	}
	if math.Abs(d.Volume()/(thirds*d.volume)-13) > 1e-9 {
		t.Errorf("%g drops of 13 are left", d.Volume()/(thirds*d.volume))
	}
}

// Whatever drops are thrown into whatever field, volume stays, drops stay inside and the
// lists stay true.
func TestThrown(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		p := params(5, 5)
		p.ContactLine = rng.Float64() * 2e-3
		d := pane(t, p)
		n := 3 + rng.IntN(20)
		for range n {
			d.Add((rng.Float64()-0.5)*60e-3, (rng.Float64()-0.5)*60e-3)
		}
		d.Pour(rng.IntN(4))
		whole := d.Volume()
		for range 12 {
			x, y := (rng.Float64()-0.5)*60e-3, (rng.Float64()-0.5)*60e-3
			d.Step(0.3, d.field(well(200*rng.Float64(), 2e-3+6e-3*rng.Float64(), x, y)))
			if math.Abs(d.Volume()/whole-1) > 1e-9 {
				t.Fatalf("volume %g of %g", d.Volume(), whole)
			}
			joined, once := make([]int32, len(d.parts)), map[joint]bool{}
			for _, j := range d.joints {
				if j.a >= j.b || once[j] {
					t.Fatalf("joint %+v", j)
				}
				once[j] = true
				joined[j.a]++
				joined[j.b]++
			}
			for i, o := range d.parts {
				if joined[i] != o.joined || math.Abs(o.X) > p.Width/2 || math.Abs(o.Y) > p.Height/2 || math.IsNaN(o.X+o.Y) {
					t.Fatalf("drop %d: %+v, joined to %d", i, o, joined[i])
				}
			}
		}
	}
}

// Drops so heavy that their tension does not hold them up pile up at the bottom where there is
// no pool: every part is joined, once, with each that it touches, however many those are.
func TestCrowd(t *testing.T) {
	p := params(8, 8)
	p.DensityDifference, p.SurfaceTension = 500, 1e-3
	d := pane(t, p)
	for k := range 60 {
		d.Add((float64(k%8)-3.5)*pitch, (float64(k/8)-3.5)*pitch)
	}
	for range 3 {
		d.Step(1, nil)
	}
	times, most := map[joint]int{}, int32(0)
	for _, j := range d.joints {
		times[j]++
	}
	touching := 0
	for i, a := range d.parts {
		most = max(most, a.joined)
		for k, b := range d.parts[:i] {
			if math.Hypot(a.X-b.X, a.Y-b.Y) > 2*d.radius+d.p.MergeGap {
				continue
			}
			touching++
			if n := times[joint{int32(k), int32(i)}]; n != 1 {
				t.Fatalf("parts %d and %d touch and are joined %d times", k, i, n)
			}
		}
	}
	if len(times) != len(d.joints) || touching < 1500 || most < 20 {
		t.Errorf("%d joints of %d pairs, of which %d touch, %d at one part at most: no crowd", len(d.joints), len(times), touching, most)
	}
}

// The last part takes the number of one that is removed, and its joints with it.
func TestRemove(t *testing.T) {
	d := pane(t, params(6, 6))
	d.Add(-20e-3, 0) // parts 0, 1, 2
	d.Add(20e-3, 0)  // 3, 4, 5
	d.remove(1)
	d.linked.look(len(d.parts), d.joints)
	for a := range int32(5) {
		d.linked.mark(int(a))
		for b := range a {
			want := a == 2 && b == 0 || b == 1 && a > 2 || a == 4 && b == 3
			if got := d.linked.marked(int(a), b); got != want || slices.Contains(d.joints, joint{b, a}) != want {
				t.Errorf("parts %d and %d: joined %v, in %v, want %v", b, a, got, d.joints, want)
			}
		}
	}
	if len(d.joints) != 4 {
		t.Errorf("%v: four joints are left", d.joints)
	}
}

// A drop's share of places and squares against the areas counted on a fine lattice.
func TestCover(t *testing.T) {
	d := pane(t, params(3, 3))
	d.Add(2e-3, -1e-3)
	d.Add(-9e-3, 11e-3)
	d.Pour(9)
	place, cell := make([]float64, 9), make([]float64, 9)
	d.Cover(3, 3, pitch, place, cell)
	share := func(x, y float64) (n float64) { // parts of a drop overlap a little
		for _, o := range d.parts {
			if math.Hypot(x-o.X, y-o.Y) < d.radius {
				n++
			}
		}
		if y < d.top() {
			n++
		}
		return n
	}
	const fine = 400
	for k := range place {
		cx, cy := (float64(k%3)-1)*pitch, (1-float64(k/3))*pitch
		inPlace, inCell := 0.0, 0.0
		for a := range fine {
			for b := range fine {
				x, y := ((float64(a)+0.5)/fine-0.5)*pitch, ((float64(b)+0.5)/fine-0.5)*pitch
				n := share(cx+x, cy+y)
				inCell += n
				if math.Hypot(x, y) < 4e-3 {
					inPlace += n / inside
				}
			}
		}
		scale := pitch * pitch / fine / fine / (math.Pi * 16e-6)
		if y := cy - 4e-3; y < d.top() { // of the pool, which is no part, nothing is missing
			inPlace *= inside
		}
		if math.Abs(place[k]-min(inPlace*scale, 1)) > 2e-3 || math.Abs(cell[k]-inCell*scale) > 2e-3 {
			t.Errorf("pixel %d: place %g, cell %g; counted %g, %g", k, place[k], cell[k], inPlace*scale, inCell*scale)
		}
	}
}

func TestBadInput(t *testing.T) {
	if _, err := New(tank.Params{}, 8e-3); err == nil {
		t.Error("a tank of no size passed")
	}
	if _, err := New(params(2, 2), 1); err == nil || !strings.Contains(err.Error(), "reference drop") {
		t.Errorf("a drop larger than the tank: %v", err)
	}
}

// BenchmarkScene moves a drop on every other of 16 × 10 pixels, hopping every half second,
// for a second.
func BenchmarkScene(b *testing.B) {
	d := pane(b, params(16, 10))
	var fields [2][]float64
	for turn := range fields {
		fields[turn] = d.field(func(x, y float64) float64 {
			sum := 0.0
			for k := range 160 {
				if (k+k/16+turn)%2 == 0 {
					sum += well(20, 5e-3, (float64(k%16)-7.5)*pitch, (4.5-float64(k/16))*pitch)(x, y)
				}
			}
			return sum
		})
	}
	for k := range 160 {
		if (k+k/16)%2 == 0 {
			d.Add((float64(k%16)-7.5)*pitch, (4.5-float64(k/16))*pitch)
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		for turn := range fields {
			d.Step(0.5, fields[turn])
		}
	}
}

// A kick draws the whole drop over, not only the part that lies nearest to it: the thread
// behind the first works as a siphon.
func TestKickCarriesAWholeDrop(t *testing.T) {
	p := params(6, 6)
	p.GravityY = 0
	d := pane(t, p)
	d.Add(0, 0)
	d.Step(0.4, d.field(well(100, 3.5e-3, 0, pitch)))
	for _, o := range d.parts {
		if math.Hypot(o.X, o.Y-pitch) > 4e-3 {
			t.Errorf("a part is at %g, %g m, the kick at 0, %g m", o.X, o.Y, pitch)
		}
	}
}

// A resting drop's picture has its area and is round; a pool's has its depth.
func TestFractionDrawsWhatIsThere(t *testing.T) {
	p := params(4, 8)
	d := pane(t, p)
	d.Add(3e-3, 12e-3)
	const cells = 32 // per pitch
	rows, cols := 10*cells, 6*cells
	cell := pitch / cells
	f := d.Fraction(nil, rows, cols)
	area, least, most := 0.0, math.Inf(1), 0.0
	for k, v := range f {
		area += v * cell * cell
		r := math.Hypot((float64(k%cols)+0.5)*cell-p.Width/2-3e-3, p.Height/2-(float64(k/cols)+0.5)*cell-12e-3)
		if v >= 0.5 {
			most = max(most, r)
		} else {
			least = min(least, r)
		}
	}
	if whole := math.Pi * 16e-6; math.Abs(area/whole-1) > 0.05 {
		t.Errorf("a drop of %.4g mm² is drawn with %.4g", whole*1e6, area*1e6)
	}
	if least < 0.92*4e-3 || most > 1.08*4e-3 {
		t.Errorf("a drop of 4 mm in radius is drawn with %.3g to %.3g mm", least*1e3, most*1e3)
	}
	d.Pour(20)
	f = d.Fraction(nil, rows, cols)
	deep := 0.0
	for i := range rows {
		deep += f[i*cols] * cell
	}
	if want := d.top() + p.Height/2; math.Abs(deep-want) > cell {
		t.Errorf("a pool %.4g mm deep is drawn %.4g mm deep", want*1e3, deep*1e3)
	}
}

// The pull well inside is that of the way written for the edges.
func TestPullInside(t *testing.T) {
	d := pane(t, params(6, 6))
	d.pi = d.field(func(x, y float64) float64 { return 50 + 3e5*x*x*x/pitch - 900*y + 4e4*x*y })
	inside := 0
	for k := range 400 {
		x, y := 48e-3*math.Cos(float64(k))*float64(k)/400, 48e-3*math.Sin(float64(k))*float64(k)/400
		fx, fy, mean, ok := d.pullInside(x, y, d.radius)
		if !ok {
			continue
		}
		inside++
		var gx, gy, all float64
		for _, n := range around {
			pi := d.pressure(x+d.radius*n[0], y+d.radius*n[1])
			gx, gy, all = gx+pi*n[0], gy+pi*n[1], all+pi/rim
		}
		if math.Hypot(fx-gx, fy-gy)+math.Abs(mean-all) > 1e-11*(50+math.Abs(all)+math.Hypot(gx, gy)) {
			t.Fatalf("at %g, %g m: %g, %g, %g, want %g, %g, %g", x, y, fx, fy, mean, gx, gy, all)
		}
	}
	if inside < 100 || inside == 400 {
		t.Errorf("%d of 400 places are well inside", inside)
	}
}

// The bound on a pull is more than the field that is worst for a place makes it, and not by
// much; what leaves the pool by it is what leaves it where every place is looked at.
func TestPullMost(t *testing.T) {
	d := pane(t, params(2, 2))
	random := rand.New(rand.NewPCG(7, 7))
	worst := 0.0
	d.pi = make([]float64, d.p.SampleCols*d.p.SampleRows)
	for range 40 {
		x := (random.Float64() - 0.5) * (d.p.Width - 2*d.whole)
		y := (random.Float64() - 0.5) * d.p.Height
		most := 0.0
		for k := range d.pi { // the pull is linear in the samples
			clear(d.pi)
			d.pi[k] = 1
			_, up, _ := d.pull(x, y, d.whole)
			most += math.Abs(up)
		}
		for k := range d.pi {
			d.pi[k] = 1
		}
		bound := d.pullMost(x, d.strongest(y))
		if !(bound >= most) {
			t.Errorf("at %g, %g m: at most %g N by the bound, %g N by the worst field", x, y, bound, most)
		}
		worst = max(worst, most/bound)
	}
	t.Logf("the worst field makes up to %.3f of the bound", worst)
	if worst < 0.8 {
		t.Errorf("the bound is %.2f times what it need be", 1/worst)
	}
}

func TestLiftIsBounded(t *testing.T) {
	left, skipped := 0, 0
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 9))
		d := pane(t, params(6, 4))
		d.Pour(12)
		for range 3 {
			d.Add((random.Float64()-0.5)*d.p.Width/2, d.top()+d.whole*(1+3*random.Float64()))
		}
		wells := make([]func(x, y float64) float64, 4)
		for k := range wells {
			wells[k] = well(60*random.Float64(), 4e-3+4e-3*random.Float64(), (random.Float64()-0.5)*d.p.Width, d.top()+20e-3*random.Float64())
		}
		d.pi = d.field(func(x, y float64) (sum float64) {
			for _, w := range wells {
				sum += w(x, y)
			}
			return sum
		})
		whole := *d
		whole.parts, whole.joints, whole.linked = slices.Clone(d.parts), slices.Clone(d.joints), partners{}
		d.since = looks
		columns := d.strongest(d.top())
		for k := range d.p.SampleCols {
			x := (float64(k)+0.5)/float64(d.p.SampleCols)*d.p.Width - d.p.Width/2
			if math.Abs(x) < d.p.Width/2-d.whole && d.pullMost(x, columns)+thirds*d.weight-d.neck < 0 {
				skipped++
			}
		}
		d.lift()
		whole.liftWhole()
		left += (len(whole.parts) - 9) / thirds
		if d.pool != whole.pool || len(d.parts) != len(whole.parts) {
			t.Fatalf("scene %d: %d parts left in the pool, %d by the whole computation", seed, d.pool, whole.pool)
		}
		for i, o := range whole.parts {
			if d.parts[i].X != o.X || d.parts[i].Y != o.Y {
				t.Errorf("scene %d: part %d at %g, %g m, by the whole computation at %g, %g m", seed, i, d.parts[i].X, d.parts[i].Y, o.X, o.Y)
			}
		}
	}
	t.Logf("%d drops left, %d places needed no pull", left, skipped)
	if left < 20 || skipped < 200 {
		t.Errorf("%d drops left, %d places needed no pull: too few to tell", left, skipped)
	}
}

// liftWhole is lift without the bound.
func (d *Pane) liftWhole() {
	n, from := d.p.SampleCols, math.Inf(-1)
	for d.pool >= thirds {
		top, best, at := d.top(), 0.0, 0.0
		for k := range n {
			x := (float64(k)+0.5)/float64(n)*d.p.Width - d.p.Width/2
			if x < from || math.Abs(x) > d.p.Width/2-d.whole {
				continue
			}
			_, up, _ := d.pull(x, top, d.whole)
			if up += thirds*d.weight - d.neck; up > best && !d.crowded(x, top+d.whole+d.p.MergeGap) {
				best, at = up, x
			} else if best > 0 && x > at+d.whole {
				break
			}
		}
		if best == 0 {
			return
		}
		d.pool -= thirds
		d.Add(at, d.top()+1.15*d.whole+1.01*d.p.MergeGap)
		from = at + 2*d.whole + d.p.MergeGap
	}
}
