package grid

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"reflect"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/extent"
	"lodegrid/array/lattice"
	"lodegrid/array/neighbours"
	"lodegrid/array/pixel"
	"lodegrid/field/coil"
	"lodegrid/field/ferrofluid"
	"lodegrid/field/iron"
	"lodegrid/field/kernel"
)

// DefaultSamples is the number of samples per pitch when none is asked for.
const DefaultSamples = 8

// MaxSamples is the largest number of samples per pitch.
const MaxSamples = 128

// margin is the strip computed around the grid, in pitches, so that drops at
// the edge see the field beyond it.
const margin = design.Surround

// Grid is a design made computable. It is safe for concurrent use except for
// FieldInto, which uses scratch of its own.
type Grid struct {
	Design design.Design
	Pixel  pixel.Pixel
	Fluid  ferrofluid.Spheroid // the reference drop's fluid, with the drop's own poles
	// Kernel is the coil's field at 1 A on the fluid plane; Bias the pixel
	// magnet's, nil without one.
	Kernel, Bias *StoredField
	// Steel is what the other pixels' steel adds, nil where it adds nothing that is
	// known.
	Steel  *NeighbourSteel
	Raster Raster

	engine       *lattice.Engine
	between      func() pixel.Pixel // see Between
	answer       *iron.Answer       // of one pixel's steel, nil for none
	steel        *neighbours.Steel  // that answers stray fields, nil for none
	scaled       []float64          // scratch: currents as far as the steel follows them
	drawing      *drawing
	rippled      *rippled // scratch: of the ripples
	turn         *Plane   // scratch: of one row's turn, mode scan
	turnCurrents []float64
	BiasPlane    *Plane       // field of all bias magnets, nil without any
	sheet        *pixel.Sheet // the bias sheet, nil without one

	Pressure *PressureTable // of Fluid
}

// New makes a design computable with the given samples per pitch (0 = 8). It gives up
// when the context is done.
func New(ctx context.Context, d design.Design, samples int) (*Grid, error) {
	samples = cmp.Or(samples, DefaultSamples)
	if err := possible(d, samples); err != nil {
		return nil, err
	}
	p, err := pixel.New(ctx, d, d.Fluid.Height)
	if err != nil {
		return nil, err
	}
	return newWith(ctx, d, p, samples, nil, true)
}

// possible tells, before anything is computed, what of a grid cannot be.
func possible(d design.Design, samples int) error {
	if samples < 1 || samples > MaxSamples {
		return fmt.Errorf("building the grid: %d samples per pitch; 1 to %d are possible, 0 takes %d", samples, MaxSamples, DefaultSamples)
	}
	if err := extent.Check(d.Grid.Rows, d.Grid.Cols); err != nil {
		return fmt.Errorf("building the grid: %w", err)
	}
	if !(d.Fluid.Height > 0) || math.IsInf(d.Fluid.Height, 0) {
		return fmt.Errorf("building the grid: the fluid plane lies %g mm in front of the board; it must lie in front of the copper (fluid.height above 0 mm)", d.Fluid.Height*1e3)
	}
	return affordable(d, samples)
}

// NewWith is New for a pixel made before; what the pixel is made of must be as
// in d, the grid may differ.
func NewWith(ctx context.Context, d design.Design, p pixel.Pixel, samples int) (*Grid, error) {
	return newWith(ctx, d, p, samples, nil, true)
}

// Changed is the grid of a changed design, which keeps of g what it shares with it: the field
// per ampere, see With, or where only the lattice is another the pixel and what its steel
// answers.
func (g *Grid) Changed(ctx context.Context, d design.Design) (*Grid, error) {
	if !g.Rebuilds(d) {
		h := g.With(d)
		if own := newDrawing(d, h.Pixel); !g.drawing.serves(own) {
			h.drawing = own
		}
		return h, nil
	}
	alike := d
	if alike.Grid = g.Design.Grid; d.Magnet.Kind != design.MagnetSheet {
		alike.Magnet.Width, alike.Magnet.Height = g.Design.Magnet.Width, g.Design.Magnet.Height
	}
	if apart(g.Design, alike) != "" || g.bends(d) {
		return New(ctx, d, g.Raster.Samples)
	}
	if err := possible(d, g.Raster.Samples); err != nil {
		return nil, err
	}
	return g.relaid(ctx, d, true)
}

// Trial is the grid with another pitch, number of pixels or drive, told by d: its pixel and what
// the steel of one answers are kept, the error of that is not told, and its board is not drawn.
func (g *Grid) Trial(ctx context.Context, d design.Design) (*Grid, error) {
	h, err := g.relaid(ctx, d, false)
	if err == nil {
		h.drawing = &drawing{made: &Drawn{}}
	}
	return h, err
}

// relaid is the grid's pixel under the drive and on the lattice of d, the error of what the other
// pixels' steel does told or not.
func (g *Grid) relaid(ctx context.Context, d design.Design, told bool) (*Grid, error) {
	p := g.Pixel
	p.SetDrive(d)
	return newWith(ctx, d, p, g.Raster.Samples, g.answer, told)
}

// newWith is NewWith with what the pixel's steel answers, nil where that is not known yet, and
// with what the other pixels' steel does told or not.
func newWith(ctx context.Context, d design.Design, p pixel.Pixel, samples int, answer *iron.Answer, told bool) (*Grid, error) {
	var err error
	g := &Grid{
		Design: d,
		Pixel:  p,
		Fluid:  DropFluid(d),
		answer: answer, drawing: newDrawing(d, p),
		Raster: Raster{
			Rows: (d.Grid.Rows + 2*margin) * samples, Cols: (d.Grid.Cols + 2*margin) * samples,
			Samples: samples, Margin: margin, Spacing: d.Grid.Pitch / float64(samples), Z: d.Fluid.Height,
		},
	}
	reach := d.Grid.Pitch * math.Hypot(float64(d.Grid.Rows+margin), float64(d.Grid.Cols+margin))
	own, err := p.CoilKernel(ctx, d.Fluid.Height, reach)
	if err != nil {
		return nil, fmt.Errorf("computing the coil's field on the fluid plane: %w", err)
	}
	g.Kernel = &StoredField{Kernel: own}
	if err := g.addNeighbours(ctx, told); err != nil {
		return nil, fmt.Errorf("computing what the neighbours' steel adds: %w", err)
	}
	if g.engine, err = lattice.New(ctx, g.shape(samples, margin), g.LatticeKernel(g.Kernel), g.Symmetry()); err != nil {
		return nil, fmt.Errorf("preparing the grid engine: %w", err)
	}
	g.scaled = make([]float64, d.Pixels())
	g.between = sync.OnceValue(g.seenBetween)
	g.Pressure = newPressureTable(g.Fluid)
	if err := g.addBias(ctx, reach); err != nil {
		return nil, err
	}
	return g, nil
}

// With returns a grid for a design that differs from g's in its drive, supply,
// cooling, limits or scene, in the drop's size or what moves the liquids. The kernel per ampere is kept: steel that is driven into
// its bend by the coil alone would need a new one, which Rebuilds tells. The board is drawn as
// g's is, for g's currents; Changed draws it for its own. The two grids share nothing that is
// written to. A design with another board, coil, steel,
// magnet, lattice or fluid panics.
func (g *Grid) With(d design.Design) *Grid {
	if part := apart(g.Design, d); part != "" {
		panic(fmt.Sprintf("changing the drive of a grid: the new design has another %s; build it anew", part))
	}
	p := g.Pixel
	p.SetDrive(d)
	return g.twin(d, p)
}

// twin is the grid with another pixel, whose field per ampere is the same, of a design on the
// same fluid plane. The two share nothing that is written to.
func (g *Grid) twin(d design.Design, p pixel.Pixel) *Grid {
	h := *g
	h.Design, h.Pixel = d, p
	h.engine = g.engine.Twin()
	h.between = sync.OnceValue(h.seenBetween)
	h.scaled = make([]float64, len(g.scaled))
	h.turn, h.turnCurrents, h.rippled = nil, nil, nil
	if is := DropFluid(d); is != g.Fluid {
		h.Fluid, h.Pressure = is, newPressureTable(is)
	}
	return &h
}

// nearestPane is the least height over the board at which a track is told from its
// filaments, m: a rear pane nearer than this is taken to be there.
const nearestPane = 0.2e-3

// Rear is how high over the board the liquid begins, m.
func (g *Grid) Rear() float64 {
	return max(g.Design.Fluid.Height-g.Design.Fluid.TankGap/2, nearestPane)
}

// Between is the pixel as seen from between the panes, worked out once.
func (g *Grid) Between() pixel.Pixel { return g.between() }

func (g *Grid) seenBetween() pixel.Pixel { return g.Pixel.Resolved(g.Rear(), pixel.FilamentError) }

// apart names the first part of a design on which the kernel depends and that two
// designs do not share; "" when they share all.
func apart(a, b design.Design) string {
	a.Board.Planes = b.Board.Planes // no field depends on them
	for _, p := range []struct {
		name string
		same bool
	}{
		{"board", reflect.DeepEqual(a.Board, b.Board)}, {"coil", reflect.DeepEqual(a.Coil, b.Coil)},
		{"steel", a.Iron == b.Iron}, {"magnet", a.Magnet == b.Magnet}, {"lattice", a.Grid == b.Grid}, {"fluid", fields(a.Fluid) == fields(b.Fluid)},
		{"ambient temperature behind its magnets", a.Magnet.Kind == design.MagnetNone || a.Heat.Ambient == b.Heat.Ambient},
	} {
		if !p.same {
			return p.name
		}
	}
	return ""
}

// fields is what fields depend on of a fluid.
func fields(f design.Fluid) design.Fluid {
	return design.Fluid{Kind: f.Kind, Height: f.Height, TankGap: f.TankGap, Susceptibility: f.Susceptibility, Saturation: f.Saturation, Relaxation: f.Relaxation}
}

// The steel's answer per ampere is taken to be the same for another full current when
// that differs by less than sameSteel of itself, or when nowhere in the steel the flux
// density passes steelBend at either: the field in front of the demo's pin changes by
// 0.15 % from 0.14 T to 0.97 T in the steel.
const (
	sameSteel = 0.01
	steelBend = 1.0 // T
)

// Rebuilds reports whether a changed design needs New rather than With: another
// part of a pixel or of the lattice, or steel that bends and was solved at another
// current.
func (g *Grid) Rebuilds(d design.Design) bool { return apart(g.Design, d) != "" || g.bends(d) }

// bends reports whether the drive of a design with g's pixel takes its steel to another bend. The
// rows count there, too: in mode scan, the shorter a turn, the more of its current a freewheel
// diode takes.
func (g *Grid) bends(d design.Design) bool {
	f := g.Pixel.Iron.CoilSolution
	if f == nil {
		return false
	}
	full, _ := pixel.FullCourse(d, g.Pixel)
	now, then := math.Abs(g.Pixel.Full.On.Average), math.Abs(full.On.Average)
	return math.Abs(then-now) > sameSteel*now && (now == 0 || f.Peak*max(1, then/now) > steelBend)
}

// affordable tells, before anything is computed, whether the field of a whole grid
// fits into memory.
func affordable(d design.Design, samples int) error {
	s := lattice.Shape{Rows: d.Grid.Rows, Cols: d.Grid.Cols, Samples: samples, Margin: margin, Components: 3}
	need := lattice.Estimate(s, lattice.Field())
	// A plane with the bias and one with the result, five numbers per sample each.
	bytes := need + 2*5*8*float64(s.RasterRows())*float64(s.RasterCols())
	if limit := float64(lattice.MemoryLimit); bytes > limit {
		return fmt.Errorf("building the grid: %d × %d pixels with %d × %d samples each need %.1f GiB of memory, %.0f GiB are allowed; fewer pixels (grid.cols, grid.rows) or samples need less",
			d.Grid.Cols, d.Grid.Rows, samples, samples, bytes/(1<<30), limit/(1<<30))
	}
	return nil
}

func (g *Grid) shape(samples, margin int) lattice.Shape {
	return lattice.Shape{Rows: g.Design.Grid.Rows, Cols: g.Design.Grid.Cols, Samples: samples, Margin: margin, Components: 3}
}

func (g *Grid) LatticeKernel(k *StoredField) lattice.Kernel {
	pitch := g.Design.Grid.Pitch
	return func(dst []float64, dx, dy float64) {
		b := k.At(dx*pitch, dy*pitch)
		dst[0], dst[1], dst[2] = b.X, b.Y, b.Z
	}
}

// addBias computes the field of every bias magnet on the raster, once.
func (g *Grid) addBias(ctx context.Context, reach float64) error {
	d := g.Design
	switch d.Magnet.Kind {
	case design.MagnetPerPixel:
		var err error
		own, err := kernel.Build(ctx, kernel.Spec{
			Source: g.Pixel.MagnetField(), Height: d.Fluid.Height,
			Reach: reach, Scale: max(d.Magnet.Diameter/2, d.Grid.Pitch/4),
		})
		if err != nil {
			return fmt.Errorf("computing the bias magnets' field: %w", err)
		}
		g.Bias = &StoredField{Kernel: own}
		if g.steel != nil {
			if err := g.answerTo(ctx, g.Bias, g.Pixel.MagnetField()); err != nil {
				return fmt.Errorf("computing what the neighbours' steel adds to the magnets: %w", err)
			}
		}
		e, err := lattice.New(ctx, g.shape(g.Raster.Samples, margin), g.LatticeKernel(g.Bias), g.Symmetry())
		if err != nil {
			return fmt.Errorf("preparing the bias magnets' field: %w", err)
		}
		g.BiasPlane = NewPlane(g.Raster)
		e.Superpose(g.BiasPlane.components(), slices.Repeat([]float64{1}, d.Pixels()))
	case design.MagnetSheet:
		g.sheet = pixel.NewSheet(d)
		g.BiasPlane = NewPlane(g.Raster)
		for i := range g.Raster.Rows {
			if err := ctx.Err(); err != nil {
				return fmt.Errorf("computing the bias sheet's field: %w", err)
			}
			for j := range g.Raster.Cols {
				b := g.sheet.With.B(g.Raster.Point(i, j))
				k := i*g.Raster.Cols + j
				g.BiasPlane.Bx[k], g.BiasPlane.By[k], g.BiasPlane.Bz[k] = b.X, b.Y, b.Z
			}
		}
	}
	return nil
}

// FieldInto fills dst, made by NewPlane(g.Raster), with the mean field of the pixels'
// currents (len Rows*Cols) and of all bias magnets, and with the mean of the
// pressure, in which their ripples count as far as the fluid follows.
// Every pixel contributes over the full range; nothing is cut off. It does not allocate
// after its first call. It panics when a length is wrong or a current is not
// finite.
//
// In mode scan a row is on for a share of the time, with as much more current, and
// stays on for milliseconds: there Π is the mean of the pressure over the rows' turns, as
// far as the fluid follows these, B the mean field and |B| the RMS of the magnitude.
func (g *Grid) FieldInto(dst *Plane, c Currents) {
	turns := g.Turns()
	if turns == 1 {
		g.FieldAtOnce(dst, c)
		return
	}
	if g.turn == nil {
		g.turn, g.turnCurrents = NewPlane(g.Raster), make([]float64, g.Design.Pixels())
	}
	for _, plane := range [][]float64{dst.Bx, dst.By, dst.Bz, dst.Abs, dst.Pi} {
		clear(plane)
	}
	share := 1 / float64(turns)
	for turn := range turns {
		clear(g.turnCurrents)
		for k := range g.turnCurrents {
			if g.TurnOf(k) == turn {
				g.turnCurrents[k] = c.Mean[k] * float64(turns)
			}
		}
		// A dark row's ripples have no mean to belong to and count for nothing.
		g.FieldAtOnce(g.turn, Currents{g.turnCurrents, c.Along, c.Across})
		for k, pi := range g.turn.Pi {
			dst.Bx[k] += share * g.turn.Bx[k]
			dst.By[k] += share * g.turn.By[k]
			dst.Bz[k] += share * g.turn.Bz[k]
			dst.Abs[k] += share * g.turn.Abs[k] * g.turn.Abs[k]
			dst.Pi[k] += share * pi
		}
	}
	slow := 1 - g.FollowsTurns()
	for k, v := range dst.Abs {
		dst.Abs[k] = math.Sqrt(v)
		if slow > 0 {
			dst.Pi[k] += slow * (g.Pressure.Pi(dst.Bz[k]*dst.Bz[k], dst.Bx[k]*dst.Bx[k]+dst.By[k]*dst.By[k]) - dst.Pi[k])
		}
	}
}

// Field is the field of pixel currents on a plane of its own; see FieldInto.
func (g *Grid) Field(currents Currents) *Plane {
	p := NewPlane(g.Raster)
	g.FieldInto(p, currents)
	return p
}

// Turns is how many turns the pixels take; see design.Design.Turns.
func (g *Grid) Turns() int { return g.Design.Turns() }

// TurnOf is the turn that a pixel is on in.
func (g *Grid) TurnOf(pixel int) int { return pixel / g.Design.Grid.Cols % g.Turns() }

// FieldAtOnce is FieldInto for currents that flow all at once.
func (g *Grid) FieldAtOnce(dst *Plane, c Currents) {
	if n := len(c.Mean); dst == nil || dst.Raster != g.Raster || c.Along != nil && (len(c.Along) != n || len(c.Across) != n) {
		panic("adding up the pixels' fields: the plane or the ripples are not this grid's; make them with NewPlane(grid.Raster), NewCurrents()")
	}
	currents := c.Mean
	if g.Pixel.Iron.Levels != nil {
		for i, v := range currents {
			g.scaled[i] = g.Pixel.Iron.Effective(v)
		}
		currents = g.scaled
	}
	g.engine.Superpose(dst.components(), currents)
	if g.BiasPlane != nil {
		for k := range dst.Bx {
			dst.Bx[k] += g.BiasPlane.Bx[k]
			dst.By[k] += g.BiasPlane.By[k]
			dst.Bz[k] += g.BiasPlane.Bz[k]
		}
	}
	g.ripple(dst, c)
	g.feel(dst)
}

// FieldOn adds to list the field per ampere of one pixel on the samples of rows i0…i1−1 and
// columns j0…j1−1 of the raster, row by row.
func (g *Grid) FieldOn(list []r3.Vec, pixel, i0, i1, j0, j1 int) []r3.Vec {
	n := (i1 - i0) * (j1 - j0)
	b := make([]float64, 3*n)
	for c := range 3 {
		g.engine.One(b[c*n:], pixel, c, i0, i1, j0, j1)
	}
	for k := range n {
		list = append(list, r3.Vec{X: b[k], Y: b[n+k], Z: b[2*n+k]})
	}
	return list
}

// Center returns the position of a pixel's axis on the fluid plane in metres.
func (g *Grid) Center(row, col int) r3.Vec {
	p := g.Design.PixelCenter(row, col)
	p.Z = g.Design.Fluid.Height
	return p
}

// Symmetry is what the coil's shape promises about its field.
func (g *Grid) Symmetry() lattice.Symmetry {
	s := lattice.Field()
	if g.Pixel.Coil.Spec().Shape == coil.Hexagon {
		s.Swap = nil // a hexagon is not its own mirror about the diagonal
	}
	if g.steel != nil && g.edged() && g.Design.Grid.Cols != g.Design.Grid.Rows {
		s.Swap = nil // nor is the lattice of the steel that answers
	}
	return s
}

// BiasAt returns the bias magnets' field at a pixel's axis on the fluid plane.
func (g *Grid) BiasAt(row, col int) r3.Vec {
	switch {
	case g.Bias != nil:
		var b r3.Vec
		at := g.Center(row, col)
		for r := range g.Design.Grid.Rows {
			for c := range g.Design.Grid.Cols {
				from := g.Center(r, c)
				b = r3.Add(b, g.Bias.At(at.X-from.X, at.Y-from.Y))
			}
		}
		return b
	case g.BiasPlane != nil:
		return g.sheet.With.B(g.Center(row, col))
	}
	return r3.Vec{}
}
