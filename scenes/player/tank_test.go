package player

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/grid"
	"lodegrid/array/hold"
	"lodegrid/array/tank"
	"lodegrid/field"
	"lodegrid/scenes"
)

func newTank(t *testing.T, p *Player) *Tank {
	t.Helper()
	b, err := NewTank(p.grid, 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// filledAs is a grid whose fluid and orientation are changed, which change no coil.
func filledAs(t *testing.T, g *grid.Grid, changes ...string) *grid.Grid {
	t.Helper()
	other := *g
	other.Design = small(t, changes...)
	return &other
}

// What the tank is filled with, by the volume of the drops: a cylinder of the drop's
// diameter through the gap, π/4 (8 mm)² 2 mm = 100.5 mm³.
func TestFillFor(t *testing.T) {
	const drop = math.Pi / 4 * 8e-3 * 8e-3 * 2e-3
	lit := [3]string{"#..#", "....", ".#.."}
	more := [3]string{"####", "#..#", ".#.."}
	dark := [3]string{"....", "....", "...."}
	all := [3]string{"####", "####", "####"}
	whole := newPlayer(t, small(t)).grid
	of := func(changes ...string) *grid.Grid { return filledAs(t, whole, changes...) }
	standing, lying := of(), of("heat.orientation=face-up")
	for _, c := range []struct {
		name   string
		g      *grid.Grid
		s      scenes.Scene
		want   float64 // m³
		within float64
	}{
		{"three lit", standing, pictures(1, lit), 3 * drop, 0.01},
		{"fewer later", standing, pictures(1, lit, dark), 3 * drop, 0.01},
		{"more later: a pool", standing, pictures(1, lit, more, lit), 7 * drop, 0.01},
		{"dark at first: all in the pool", standing, pictures(1, dark, all), 12 * drop, 0.01},
		{"always dark", standing, pictures(1, dark), 0, 0},
		{"all lit", standing, pictures(1, all), 12 * drop, 0.02},
		{"lying, more later: no pool", lying, pictures(1, lit, more), 3 * drop, 0.01},
		{"a volume of six drops and a half", of("fluid.volume=0.65345 mL"), pictures(1, lit, more), 6.5 * drop, 0.01},
		{"too little for the first picture", of("fluid.volume=0.25 mL"), pictures(1, all), 0.25e-6, 0.01},
		{"less than a drop", of("fluid.volume=0.05 mL"), pictures(1, all), 0.05e-6, 0.01},
		{"all in the pool", of("fluid.start=pool"), pictures(1, lit, more), 7 * drop, 0.01},
		{"chosen pixels", of("fluid.start=1,1 3,4"), pictures(1, dark), 2 * drop, 0.01},
		{"lying, more fluid than pixels", of("heat.orientation=face-up", "fluid.volume=1.3 mL", "fluid.drop_diameter=8 mm"), pictures(1, lit), 12 * drop, 0.01},
	} {
		b, err := NewTank(c.g, 0, 0)
		if err != nil {
			t.Fatal(err)
		}
		got, err := b.FillFor(c.s)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-c.want) > c.within*c.want {
			t.Errorf("%s: %.4g mm³, want %.4g mm³", c.name, got*1e9, c.want*1e9)
		}
		sum := 0.0
		for _, v := range b.Fraction() {
			if v < 0 || v > 1 {
				t.Fatalf("%s: a cell holds %g of itself", c.name, v)
			}
			sum += v
		}
		cell := 12e-3 / float64(CellsFor(c.g.Design))
		near(t, c.name+": the cells' fluid", sum*cell*cell*2e-3, got, 1e-12)
		if again, err := b.Refill(c.s); err != nil || math.Abs(again-got) > 1e-12*got {
			t.Errorf("%s: refilled with %g m³, %v; before %g", c.name, again, err, got)
		}
	}
}

// Where what a tank is filled with goes: counted by hand on 4 × 3 pixels.
func TestFillOf(t *testing.T) {
	const ml = 1e-6
	lit, all := [3]string{"#..#", "....", ".#.."}, [3]string{"####", "####", "####"}
	drop := math.Pi / 4 * 8e-3 * 8e-3 * 2e-3
	width := 6 * 12e-3
	whole := newPlayer(t, small(t)).grid
	for _, c := range []struct {
		changes    []string
		on         []int
		pool, left float64
	}{
		{nil, []int{0, 3, 9}, 9 * drop, 0},
		{[]string{"fluid.volume=0.65345 mL"}, []int{0, 3, 9}, 0.65345*ml - 3*drop, 0},
		{[]string{"fluid.volume=0.25 mL"}, []int{0, 3}, 0.25*ml - 2*drop, 0},
		{[]string{"fluid.start=pool"}, nil, 12 * drop, 0},
		{[]string{"fluid.start=3,4 1,2", "fluid.volume=0.5 mL"}, []int{11, 1}, 0.5*ml - 2*drop, 0},
		{[]string{"heat.orientation=face-up"}, []int{0, 3, 9}, 0, 0},
		{[]string{"heat.orientation=face-up", "fluid.volume=0.55 mL"}, []int{0, 3, 9, 11, 10}, 0, 0.55*ml - 5*drop},
	} {
		f := FillOf(filledAs(t, whole, c.changes...), pictures(1, lit, all))
		if !slices.Equal(f.On, c.on) || math.Abs(f.Pool-c.pool)+math.Abs(f.Left-c.left) > 1e-6*drop || math.Abs(f.Need-12*drop) > 1e-6*drop {
			t.Errorf("%v: %+v; want %v, a pool of %g m³, %g left", c.changes, f, c.on, c.pool, c.left)
		}
		if math.Abs(f.Depth*width*2e-3-f.Pool) > 1e-12 || math.Abs(f.Inside-width*60e-3*2e-3) > 1e-12 {
			t.Errorf("%v: a pool of %g m³ %g m deep in %g m³", c.changes, f.Pool, f.Depth, f.Inside)
		}
	}
}

// At the start the fluid sits where the first frame is lit and nowhere else; whatever
// moves it afterwards, none is made or lost.
func TestTankKeepsFluid(t *testing.T) {
	p := newPlayer(t, small(t, "supply.voltage=24 V"))
	s := pictures(0.25, marching...)
	b := newTank(t, p)
	// Without later frames that light more there is no pool.
	volume, err := b.FillFor(pictures(1, marching[0]))
	if err != nil {
		t.Fatal(err)
	}
	first, err := p.Show(t.Context(), s.Frames[0])
	if err != nil {
		t.Fatal(err)
	}
	for i, st := range p.States() {
		c := b.Covered(i/4, i%4)
		if lit := s.Frames[0].Levels[i] == 1; lit && c < 0.95 || !lit && c > 0.02 {
			t.Errorf("pixel %d, state %v, is covered to %.3f at the start", i, st, c)
		}
	}
	mean, half, lit := b.Following(p.States())
	if lit != first.Lit || half != first.Lit || mean < 0.95 {
		t.Errorf("at the start %d of %d lit pixels are half covered, %.3f on average; want all %d", half, lit, mean, first.Lit)
	}
	moved := append([]float64(nil), b.Fraction()...)
	for k := range 30 {
		if _, err := p.Show(t.Context(), s.Frames[k/8%4]); err != nil {
			t.Fatal(err)
		}
		if err := b.Step(1.0/30, p.Plane()); err != nil {
			t.Fatal(err)
		}
		near(t, "the fluid's volume", b.tank.Volume(), volume, 1e-12)
	}
	off := 0.0
	for i, v := range b.Fraction() {
		off += math.Abs(v - moved[i])
	}
	if off < 1 {
		t.Errorf("in a second only %g cells of fluid moved: the tank does not step", off)
	}
	if _, _, lit := b.Following(p.States()[:0]); lit != 0 {
		t.Errorf("no states, and %d lit", lit)
	}
}

// Fluid lets go of a dark pixel and falls, at a speed no drop can exceed: the free fall
// of its weight in the carrier, g Δρ/ρ, from rest.
func TestReleasedDropFalls(t *testing.T) {
	p := newPlayer(t, small(t, "fluid.density_difference=200 kg/m3"))
	b := newTank(t, p)
	s := pictures(1, [3]string{".#..", "....", "...."})
	if _, err := b.FillFor(s); err != nil {
		t.Fatal(err)
	}
	before := centroid(b.tank)
	if _, err := p.Show(t.Context(), pictures(1, [3]string{"....", "....", "...."}).Frames[0]); err != nil {
		t.Fatal(err)
	}
	const seconds = 0.25
	for range 10 {
		if err := b.Step(seconds/10, p.Plane()); err != nil {
			t.Fatal(err)
		}
	}
	after := centroid(b.tank)
	free := 0.5 * field.Gravity * 200 / p.grid.Design.Fluid.Density * seconds * seconds
	if fall := before - after; fall <= 0.02*free || fall >= free {
		t.Errorf("the drop fell by %g mm in %g s; free fall in the carrier is %g mm", fall*1e3, seconds, free*1e3)
	}
}

// centroid is the height of the fluid's centre of mass, m.
func centroid(k *tank.Tank) float64 {
	p := k.Params()
	all, moment := 0.0, 0.0
	for i, c := range k.Fraction() {
		all += c
		moment += c * (0.5 - (float64(i/p.Cols)+0.5)/float64(p.Rows)) * p.Height
	}
	return moment / all
}

// The tank is made with the design's fluid: the carrier's viscosity is the fluid's unless
// given, the merge gap a fifth of the tank's depth.
func TestTankTakesTheFluid(t *testing.T) {
	b := newTank(t, newPlayer(t, small(t)))
	p, f := b.tank.Params(), b.grid.Design.Fluid
	if p.OuterViscosity != f.Viscosity || math.Abs(p.MergeGap-(1-math.Pi/4)*f.TankGap) > 1e-15 || p.Cols != 6*CellsFor(b.grid.Design) || p.SampleCols != b.grid.Raster.Cols {
		t.Errorf("made with %+v for %+v", p, f)
	}
	b = newTank(t, newPlayer(t, small(t, "fluid.carrier_viscosity=2 mPa s", "fluid.merge_gap=1 mm")))
	if p := b.tank.Params(); math.Abs(p.OuterViscosity-2e-3) > 1e-12 || math.Abs(p.MergeGap-1e-3) > 1e-12 {
		t.Errorf("carrier of %g Pa·s and merge gap of %g m, want 2 mPa·s and 1 mm", p.OuterViscosity, p.MergeGap)
	}
}

// A drop between panes that bow is drawn to the wider gap: by the slope of the pressure on it,
// 2σ|∇b|/b², as package hold has it, downwards above the middle and upwards below it; and the
// magnetic pressure is less where the gap's middle is farther from the board.
func TestDropIsDrawnToTheWiderGap(t *testing.T) {
	whole := newPlayer(t, small(t)).grid
	g := filledAs(t, whole, "tank.front=0.4 mm", "tank.front_material=acrylic", "fluid.density_difference=0.5 kg/m3")
	b, err := NewTank(g, 8, 0)
	if err != nil {
		t.Fatal(err)
	}
	r, bow := g.Raster, hold.BowOf(g, g.Design)
	steepest := 0.0
	for i := r.Samples; i < r.Rows-r.Samples; i++ {
		for j := r.Samples; j < r.Cols-r.Samples; j++ {
			k := i*r.Cols + j
			steepest = max(steepest, math.Hypot(b.drawn[k+1]-b.drawn[k-1], b.drawn[k+r.Cols]-b.drawn[k-r.Cols])/(2*r.Spacing))
		}
	}
	if steepest < 0.6*bow.Push || steepest > 1.3*bow.Push {
		t.Errorf("drawn by up to %g N/m³, by the bow %g", steepest, bow.Push)
	}
	middle, corner := r.Len()/2+r.Cols/2, 0
	if !(b.drawn[middle] > b.drawn[corner]) || !(b.kept[middle] < b.kept[corner]) {
		t.Errorf("in the middle %g Pa and a share of %g, in the corner %g Pa and %g", b.drawn[middle], b.kept[middle], b.drawn[corner], b.kept[corner])
	}
	if err := b.tank.FillDisc(0, 18e-3, 4e-3); err != nil {
		t.Fatal(err)
	}
	before := centroid(b.tank)
	dark := grid.NewPlane(r)
	for range 10 {
		if err := b.Step(0.1, dark); err != nil {
			t.Fatal(err)
		}
	}
	if down := before - centroid(b.tank); down < 0.1e-3 {
		t.Errorf("in 1 s the drop went %g mm to the wider gap", down*1e3)
	}
}

// Where the panes bow apart the panes' drag is less: the film has it.
func TestDropsAreFasterInTheWiderGap(t *testing.T) {
	g := filledAs(t, newPlayer(t, small(t)).grid, "tank.front=0.4 mm", "tank.front_material=acrylic")
	_, _, depth := bowed(g, hold.BowOf(g, g.Design))
	middle := g.Raster.Len()/2 + g.Raster.Cols/2
	if bow := hold.BowOf(g, g.Design); math.Abs(depth[middle]/bow.Widest-1) > 0.05 {
		t.Errorf("in the middle %g m between the panes, at most %g", depth[middle], bow.Widest)
	}
	var fell [2]float64
	for n := range fell {
		b, err := NewTank(g, 8, 0)
		if err != nil {
			t.Fatal(err)
		}
		clear(b.drawn)
		if n == 1 {
			for k := range depth {
				depth[k] = g.Design.Fluid.TankGap
			}
			b.tank.Bow(depth)
		}
		if err := b.tank.FillDisc(0, 0, 4e-3); err != nil {
			t.Fatal(err)
		}
		from := centroid(b.tank)
		if err := b.Step(0.5, grid.NewPlane(g.Raster)); err != nil {
			t.Fatal(err)
		}
		fell[n] = from - centroid(b.tank)
	}
	bow := hold.BowOf(g, g.Design)
	if got, want := fell[0]/fell[1], math.Pow(bow.Widest/g.Design.Fluid.TankGap, 2); got < 1+0.7*(want-1) || got > 1+1.1*(want-1) {
		t.Errorf("in 0.5 s the drop fell %.3f times as far as between flat panes, in the deepest place it would by %.3f", got, want)
	}
}

// The own field is told of all fluid and of where it is, and what the bow leaves of the pull
// is what moves the fluid: with nothing left of it, a lit grid does what a dark one does.
func TestStepTakesShareAndBow(t *testing.T) {
	p := newPlayer(t, small(t))
	s := pictures(1, marching[0])
	if _, err := p.Show(t.Context(), s.Frames[0]); err != nil {
		t.Fatal(err)
	}
	r := p.grid.Raster
	var heights [3]float64
	for n, plane := range []*grid.Plane{p.Plane(), p.Plane(), grid.NewPlane(r)} {
		b := newTank(t, p)
		if err := b.tank.FillDisc(7e-3, 4e-3, 4e-3); err != nil {
			t.Fatal(err)
		}
		sum, x, y := 0.0, 0.0, 0.0
		for k, c := range b.spread() {
			at := r.Point(k/r.Cols, k%r.Cols)
			sum, x, y = sum+c, x+c*at.X, y+c*at.Y
		}
		if volume := sum * r.Spacing * r.Spacing * b.tank.Params().Gap; math.Abs(volume/b.tank.Volume()-1) > 1e-9 {
			t.Errorf("the raster has %g m³ of %g", volume, b.tank.Volume())
		}
		if x, y = x/sum, y/sum; math.Hypot(x-7e-3, y-4e-3) > 0.02*r.Spacing {
			t.Errorf("on the raster the drop is at %g, %g m", x, y)
		}
		if n == 1 {
			clear(b.kept)
			clear(b.drawn)
		}
		if n == 2 {
			clear(b.drawn)
		}
		if err := b.Step(0.2, plane); err != nil {
			t.Fatal(err)
		}
		heights[n] = centroid(b.tank)
	}
	if math.Abs(heights[1]-heights[2]) > 1e-12 || math.Abs(heights[0]-heights[2]) < 1e-6 {
		t.Errorf("after 0.2 s the drop is at %g m, with nothing left of the pull at %g, in the dark at %g", heights[0], heights[1], heights[2])
	}
}

// Panes that bow many gaps apart are refused, and the spacing that is offered mends it.
func TestPanesTooFarApart(t *testing.T) {
	whole := newPlayer(t, small(t)).grid
	thin := []string{"tank.front=0.2 mm", "tank.front_material=acrylic"}
	_, err := NewTank(filledAs(t, whole, thin...), 8, 0)
	if err == nil {
		t.Fatal("no error")
	}
	_, after, found := strings.Cut(err.Error(), "tank.spacers = \"")
	spacing, _, ends := strings.Cut(after, "\"")
	if !found || !ends {
		t.Fatalf("%v: no spacing offered", err)
	}
	if _, err := NewTank(filledAs(t, whole, append(thin, "tank.spacers="+spacing)...), 8, 0); err != nil {
		t.Errorf("with the spacing offered: %v", err)
	}
}

// The pool lies on the floor that tank.bottom sets, in the tank and in the drop model.
func TestPoolLiesOnTheFloor(t *testing.T) {
	d := small(t, "tank.bottom=6 mm", "fluid.start=pool", "fluid.volume=0.5 mL")
	g := newPlayer(t, d).grid
	b := newTank(t, newPlayer(t, d))
	pool := pictures(1, marching[0])
	got, err := b.FillFor(pool)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got/0.5e-6-1) > 1e-9 {
		t.Errorf("%g m³ of fluid, want 0.5 mL", got)
	}
	rows, cols := b.Cells()
	cell := float64(g.Raster.Rows) * g.Raster.Spacing / float64(rows)
	_, h := d.Size()
	width, _ := d.Inside()
	floor := -h/2 - 6e-3
	want := floor + 0.5e-6/(width*d.Fluid.TankGap)
	drops, err := NewDroplets(g, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := drops.FillFor(pool); err != nil {
		t.Fatal(err)
	}
	for name, fraction := range map[string][]float64{"tank": b.Fraction(), "drop model": drops.pane.Fraction(nil, rows, cols)} {
		low, top := math.Inf(1), math.Inf(-1)
		for k, c := range fraction {
			if y := (float64(rows)/2 - float64(k/cols) - 0.5) * cell; c > 0.5 {
				low, top = min(low, y-cell/2), max(top, y+cell/2)
			}
		}
		// The drop model pours whole drops.
		slack := cell
		if name != "tank" {
			slack += g.Drop().Volume / (width * d.Fluid.TankGap)
		}
		if math.Abs(low-floor) > cell/2+1e-9 || math.Abs(top-want) > slack {
			t.Errorf("%s: the pool is from %g to %g m, want %g to %g", name, low, top, floor, want)
		}
	}
}

// By hand: cells tell a drop's radius, or the liquid between two drops where that is less and
// they do not merge across it.
func TestCellsTellTheNarrowest(t *testing.T) {
	d := small(t)
	d.Grid.Pitch = 12e-3
	for _, c := range []struct {
		diameter, merge float64
		narrowest       float64 // cells of twelve per pitch
		cells           int
	}{{6e-3, 0.2e-3, 3, 15}, {10e-3, 0.2e-3, 2, 24}, {10e-3, 3e-3, 5, 9}} {
		d.Fluid.DropDiameter, d.Fluid.MergeGap = c.diameter, c.merge
		near(t, "error of the cells", CellError(d, 12), 0.002+0.485/(c.narrowest*c.narrowest), 1e-9)
		if got := CellsFor(d); got != c.cells {
			t.Errorf("%+v: %d cells per pitch", c, got)
		}
	}
}
