package drive

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lodegrid/field/quantity"
)

// Feed names from which end the feeders of a grid are supplied.
type Feed string

// The ends. Row feeders begin at the left, column feeders at the top.
const (
	FeedNear Feed = "near" // left or top
	FeedFar  Feed = "far"  // right or bottom
	FeedBoth Feed = "both"
)

// Feeders is one set of parallel conductors across the grid and the bus that joins
// their ends.
type Feeders struct {
	Segment float64 // Ω, of one pitch of one feeder, also from the bus to its first pixel
	Bus     float64 // Ω, of one pitch of the bus, also from its entry to the first feeder; 0 = none to speak of
	Feed    Feed    // ends that have a bus; empty = FeedNear
}

// Wiring is the copper between the supply's terminals and the pixels: a feeder
// along each row brings the current, one along each column takes it back. The bus
// of the rows enters at the top, the bus of the columns at the left. Each pixel
// sits between its row feeder and its column feeder.
type Wiring struct {
	Rows, Cols int
	Voltage    float64 // V, at the supply's terminals
	Row        Feeders // the feeders that run along rows
	Column     Feeders // the feeders that run along columns
	Lead       float64 // Ω, of both leads from the supply together
}

// SegmentResistance returns the resistance in ohms of a straight conductor from its
// length, width and thickness in metres and its resistivity in Ω·m, derived.
func SegmentResistance(length, width, thickness, resistivity float64) quantity.Derived {
	return quantity.Derived{
		Value: resistivity * length / (width * thickness),
		Why:   fmt.Sprintf("ρ ℓ/(w t) = %.5g Ω·m × %.5g m / (%.5g m × %.5g m)", resistivity, length, width, thickness),
	}
}

// Network is a Wiring made ready to be solved for many loads. Not for use by
// several goroutines at once.
type Network struct {
	w            Wiring
	row, column  *comb
	drop         []float64 // scratch
	y, r, p, z   []float64 // conjugate gradients
	root, inject []float64
}

// NewNetwork factorises a wiring. Feeders on a bus that has a resistance are to have one, too.
func NewNetwork(w Wiring) (*Network, error) {
	w.Row.Feed, w.Column.Feed = cmp.Or(w.Row.Feed, FeedNear), cmp.Or(w.Column.Feed, FeedNear)
	n := w.Rows * w.Cols
	net := &Network{
		w:    w,
		drop: make([]float64, n), y: make([]float64, n), r: make([]float64, n), p: make([]float64, n), z: make([]float64, n),
		root: make([]float64, n), inject: make([]float64, n),
	}
	var err error
	if net.row, err = newComb(w.Row, w.Rows, w.Cols, w.Cols, 1); err != nil {
		return nil, err
	}
	if net.column, err = newComb(w.Column, w.Cols, w.Rows, 1, w.Cols); err != nil {
		return nil, err
	}
	return net, nil
}

// comb is one set of feeders with its buses as a resistive network: potentials
// against the entry, per current drawn at the pixels.
type comb struct {
	f            Feeders
	teeth, long  int // feeders, pixels on each
	across, step int // pixel index = tooth·across + place·step
	width        int // nodes per tooth: a bus node, pixels, a bus node
	first        int // nodes before the first pixel: 0 or 1
	factor       mat.BandCholesky
	current      *mat.VecDense
	potential    *mat.VecDense
}

func newComb(f Feeders, teeth, long, across, step int) (*comb, error) {
	c := &comb{f: f, teeth: teeth, long: long, across: across, step: step, width: long}
	if f.Segment == 0 {
		return c, nil
	}
	near, far := f.Feed != FeedFar, f.Feed != FeedNear
	if f.Bus > 0 {
		if near {
			c.first = 1
			c.width++
		}
		if far {
			c.width++
		}
	}
	n := teeth * c.width
	band := 1
	if f.Bus > 0 {
		band = c.width
	}
	if band >= n {
		band = n - 1
	}
	a := mat.NewSymBandDense(n, band, nil)
	c.branches(func(i, j int, ohms float64) {
		g := 1 / ohms
		a.SetSymBand(i, i, a.At(i, i)+g)
		if j >= 0 {
			a.SetSymBand(j, j, a.At(j, j)+g)
			a.SetSymBand(i, j, a.At(i, j)-g)
		}
	})
	if !c.factor.Factorize(a) {
		return nil, fmt.Errorf("drive: feeders of %v Ω per pitch on a bus of %v Ω per pitch: resistances too far apart to solve", f.Segment, f.Bus)
	}
	c.current = mat.NewVecDense(n, nil)
	c.potential = mat.NewVecDense(n, nil)
	return c, nil
}

// branches calls f for every resistor, with j < 0 for the entry.
func (c *comb) branches(f func(i, j int, ohms float64)) {
	for tooth := range c.teeth {
		base := tooth * c.width
		for k := range c.long - 1 {
			f(base+c.first+k, base+c.first+k+1, c.f.Segment)
		}
		end := func(pixel, bus int) {
			if c.f.Bus == 0 {
				f(pixel, -1, c.f.Segment)
				return
			}
			f(pixel, bus, c.f.Segment)
			if tooth == 0 {
				f(bus, -1, c.f.Bus)
			} else {
				f(bus-c.width, bus, c.f.Bus)
			}
		}
		if c.f.Feed != FeedFar {
			end(base+c.first, base)
		}
		if c.f.Feed != FeedNear {
			end(base+c.first+c.long-1, base+c.width-1)
		}
	}
}

// drops adds to dst the voltage lost on the way to each pixel for currents drawn
// there, and leaves the node potentials for loss.
func (c *comb) drops(dst, current []float64) error {
	if c.f.Segment == 0 {
		return nil
	}
	c.current.Zero()
	for tooth := range c.teeth {
		for k := range c.long {
			c.current.SetVec(tooth*c.width+c.first+k, current[tooth*c.across+k*c.step])
		}
	}
	if err := c.factor.SolveVecTo(c.potential, c.current); err != nil {
		if _, poor := err.(mat.Condition); !poor {
			return fmt.Errorf("drive: solving the feeders: %w", err)
		}
	}
	for tooth := range c.teeth {
		for k := range c.long {
			dst[tooth*c.across+k*c.step] += c.potential.AtVec(tooth*c.width + c.first + k)
		}
	}
	return nil
}

// loss is the heat in the conductors for the potentials of the last drops.
func (c *comb) loss() float64 {
	if c.f.Segment == 0 {
		return 0
	}
	var sum float64
	c.branches(func(i, j int, ohms float64) {
		v := c.potential.AtVec(i)
		if j >= 0 {
			v -= c.potential.AtVec(j)
		}
		sum += v * v / ohms
	})
	return sum
}

// Drops is what the wiring does to a load.
type Drops struct {
	Voltage []float64 // V, at each pixel
	Current []float64 // A, drawn by each pixel

	Total      float64 // A, from the supply
	Loss       float64 // W, heat in feeders, buses and leads
	Delivered  float64 // W, at the pixels
	Worst      int     // the pixel with the lowest voltage
	WorstDrop  float64 // V, lost on the way to it
	FarCorner  int     // the pixel of the four corners with the lowest voltage
	FarVoltage float64 // share of the supply's voltage that reaches it, 0…1
}

// LossShare returns the share of the supply's power lost in the wiring.
func (d Drops) LossShare() float64 {
	if d.Loss+d.Delivered == 0 {
		return 0
	}
	return d.Loss / (d.Loss + d.Delivered)
}

// Solve returns the voltages for pixels that draw a conductance in siemens times
// their voltage plus a fixed current in amperes; either slice may be nil. A dark
// pixel has 0. One entry per pixel.
//
// With Z the feeders' resistance matrix (drops per current), G the conductances and
// v the pixels' voltages, v = V0 − Z (G v + I). Symmetrised with the roots of G this
// is 1 + √G Z √G, positive definite and close to 1 in any sensible wiring, and
// conjugate gradients solve it in a few steps, each one banded triangular solve of
// the feeders.
func (n *Network) Solve(conductance, current []float64) (Drops, error) {
	pixels := n.w.Rows * n.w.Cols
	d := Drops{Voltage: make([]float64, pixels), Current: make([]float64, pixels)}
	inject := n.inject
	clear(inject)
	if current != nil {
		copy(inject, current)
	}
	if conductance != nil {
		if err := n.conjugate(conductance, inject); err != nil {
			return Drops{}, err
		}
		for i, g := range conductance {
			inject[i] += math.Sqrt(g) * n.y[i]
		}
	}
	if err := n.apply(n.drop, inject); err != nil {
		return Drops{}, err
	}
	copy(d.Current, inject)
	worst := math.Inf(1)
	for i, drop := range n.drop {
		d.Voltage[i] = n.w.Voltage - drop
		d.Total += inject[i]
		d.Delivered += d.Voltage[i] * inject[i]
		if d.Voltage[i] < worst {
			worst, d.Worst, d.WorstDrop = d.Voltage[i], i, drop
		}
	}
	d.Loss = n.row.loss() + n.column.loss() + n.w.Lead*d.Total*d.Total
	low := math.Inf(1)
	for _, i := range []int{0, n.w.Cols - 1, pixels - n.w.Cols, pixels - 1} {
		if d.Voltage[i] <= low {
			low, d.FarCorner = d.Voltage[i], i
		}
	}
	d.FarVoltage = low / n.w.Voltage
	return d, nil
}

// apply writes the drops that currents cause: row and column feeders and leads.
func (n *Network) apply(dst, current []float64) error {
	clear(dst)
	if err := n.row.drops(dst, current); err != nil {
		return err
	}
	if err := n.column.drops(dst, current); err != nil {
		return err
	}
	if n.w.Lead > 0 {
		var total float64
		for _, i := range current {
			total += i
		}
		for i := range dst {
			dst[i] += n.w.Lead * total
		}
	}
	return nil
}

// conjugate solves (1 + √G Z √G) y = √G (V0 − Z I) for y = √G v.
func (n *Network) conjugate(conductance, fixed []float64) error {
	root, y, r, p, z := n.root, n.y, n.r, n.p, n.z
	for i, g := range conductance {
		root[i] = math.Sqrt(g)
	}
	if err := n.apply(z, fixed); err != nil {
		return err
	}
	var rr, start float64
	for i := range r {
		y[i] = 0
		r[i] = root[i] * (n.w.Voltage - z[i])
		p[i] = r[i]
		rr += r[i] * r[i]
	}
	start = rr
	work := make([]float64, len(r))
	for range 2000 {
		if rr <= 1e-28*start {
			return nil
		}
		for i := range work {
			work[i] = root[i] * p[i]
		}
		if err := n.apply(z, work); err != nil {
			return err
		}
		var pz float64
		for i := range z {
			z[i] = p[i] + root[i]*z[i]
			pz += p[i] * z[i]
		}
		step := rr / pz
		var next float64
		for i := range r {
			y[i] += step * p[i]
			r[i] -= step * z[i]
			next += r[i] * r[i]
		}
		for i := range p {
			p[i] = r[i] + next/rr*p[i]
		}
		rr = next
	}
	return fmt.Errorf("drive: wiring does not converge: residual %.1e of the load", math.Sqrt(rr/start))
}

// SolveDraw returns the voltages for pixels whose current depends on their voltage
// in any way: draw writes the currents in amperes for the voltages given, and is
// called until the voltages stay within 1e-9 of the supply's. Each round treats a
// pixel as the conductance it last showed, which is exact for the full bridge and
// close for any driver.
func (n *Network) SolveDraw(draw func(current, voltage []float64)) (Drops, error) {
	pixels := n.w.Rows * n.w.Cols
	volts := slices.Repeat([]float64{n.w.Voltage}, pixels)
	current := make([]float64, pixels)
	conductance := make([]float64, pixels)
	for range 100 {
		draw(current, volts)
		for i := range conductance {
			conductance[i] = 0
			if volts[i] > 0 && current[i] > 0 {
				conductance[i] = current[i] / volts[i]
			}
		}
		d, err := n.Solve(conductance, nil)
		if err != nil {
			return Drops{}, err
		}
		var moved float64
		for i := range volts {
			moved = math.Max(moved, math.Abs(d.Voltage[i]-volts[i]))
		}
		copy(volts, d.Voltage)
		if moved <= 1e-9*n.w.Voltage {
			return d, nil
		}
	}
	return Drops{}, fmt.Errorf("drive: wiring and drive do not settle: the feeders drop most of the %v V", n.w.Voltage)
}

// SolveDrive returns the voltages for a drive showing a picture without a break: the
// feeders carry each pixel's average rail current (bulk capacitors along the
// feeders take the PWM's ripple; without them drops and losses are greater).
// Resistances are the coils' in ohms.
func (n *Network) SolveDrive(d *Drive, levels, resistance []float64) (Drops, error) {
	if err := d.check(levels); err != nil {
		return Drops{}, err
	}
	p := d.p
	p.PixelVoltage = make([]float64, d.Pixels())
	wired := *d
	wired.p = p
	return n.SolveDraw(func(current, voltage []float64) {
		for i, v := range voltage {
			p.PixelVoltage[i] = math.Max(0, v)
		}
		for i := range current {
			var s PixelState
			wired.steady(&s, i, levels[i], d.mean(resistance, i))
			current[i] = s.RailAverage + s.BoostAverage
		}
	})
}
