package kernel

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Spec says what to store.
type Spec struct {
	Source field.Source // one pixel at the origin's axis, per ampere or per magnet
	Height float64      // m, z of the plane; the source must be smooth on it
	Fold   int          // turns onto itself by 360°/Fold; 0 = round
	Reach  float64      // m, largest distance from the axis that will be asked for
	Scale  float64      // m, size of the source (its outer radius); sets the first panels
	RelTol float64      // wanted error over the largest |B|; 0 = 1e-10
}

// Kernel is the field of one pixel on a plane, by distance and direction from
// its axis. It is safe for concurrent use.
type Kernel struct {
	spec   Spec
	edges  []float64 // panel borders in r, ascending from 0
	panels []panel
	// Peak is the largest |B| met while building, in the source's tesla.
	Peak float64
	// Error is the largest difference between kernel and source at 64 fresh
	// points near and far, as a share of Peak.
	Error float64
}

type panel struct {
	mid, half float64
	harmonics []harmonic // k = 0, 1, …; trailing ones below tolerance are dropped
}

// harmonic holds br, bφ, bz of one order k.
type harmonic [3]series

// Angular orders on a panel: as many as angles sampled in half a sector, beginning
// with a few and doubled until the last ones have died away.
const (
	firstAngles = 6
	mostAngles  = 96
)

// Build samples the source and returns its kernel. It fails when the source is not finite on the
// plane (a plane inside a conductor or a magnet), and with the context's error when that is done.
func Build(ctx context.Context, s Spec) (*Kernel, error) {
	s.RelTol = cmp.Or(s.RelTol, 1e-10)
	k := &Kernel{spec: s}
	// The scale of the field on the plane, for the tolerance.
	const scan = 32
	for i := range scan + 1 {
		r := 1.5 * s.Scale * float64(i) / scan
		b := r3.Norm(s.Source.B(r3.Vec{X: r, Z: s.Height}))
		if math.IsNaN(b) || math.IsInf(b, 0) {
			return nil, fmt.Errorf("building the kernel: field is not finite at r = %g m, z = %g m (inside a conductor or magnet?)", r, s.Height)
		}
		k.Peak = max(k.Peak, b)
	}
	k.Peak = cmp.Or(k.Peak, math.SmallestNonzeroFloat64)
	// First panels: as wide as a quarter of the source near it, then growing.
	for r := 0.0; r < s.Reach; {
		w := max(s.Scale/4, r/2)
		to := min(r+w, s.Reach)
		if err := k.split(ctx, r, to, 0); err != nil {
			return nil, err
		}
		r = to
	}
	k.edges = append(k.edges, s.Reach)
	k.Error = k.check()
	return k, nil
}

// split fits one panel, and halves it while the series has not converged.
func (k *Kernel) split(ctx context.Context, from, to float64, depth int) error {
	p, tail, err := k.fitPanel(ctx, from, to)
	if err != nil {
		return err
	}
	if tail > k.spec.RelTol*k.Peak && depth < 7 {
		mid := (from + to) / 2
		if err := k.split(ctx, from, mid, depth+1); err != nil {
			return err
		}
		return k.split(ctx, mid, to, depth+1)
	}
	k.edges = append(k.edges, from)
	k.panels = append(k.panels, p)
	return nil
}

// fitPanel fits one panel. The number of angles starts from what the panel before
// needed.
func (k *Kernel) fitPanel(ctx context.Context, from, to float64) (p panel, tail float64, err error) {
	p = panel{mid: (from + to) / 2, half: (to - from) / 2}
	angles := 1
	if k.spec.Fold > 0 {
		angles = firstAngles
		if n := len(k.panels); n > 0 {
			angles = max(angles, len(k.panels[n-1].harmonics)+2)
		}
	}
	var values [][3][degree + 1]float64
	for {
		if values, err = k.sample(ctx, p, angles); err != nil {
			return p, 0, err
		}
		if k.spec.Fold == 0 || angles == mostAngles || k.largest(values[angles-2:]) <= 0.1*k.spec.RelTol*k.Peak {
			break
		}
		angles = min(2*angles, mostAngles)
	}
	p.harmonics = make([]harmonic, angles)
	last := 0
	for m := range values {
		for c := range values[m] {
			p.harmonics[m][c] = fit(&values[m][c])
			tail = max(tail, p.harmonics[m][c].tail())
		}
		if k.largest(values[m:m+1]) > 0.01*k.spec.RelTol*k.Peak {
			last = m
		}
	}
	p.harmonics = p.harmonics[: last+1 : last+1]
	return p, tail, nil
}

// largest is the largest size of any value.
func (k *Kernel) largest(values [][3][degree + 1]float64) float64 {
	most := 0.0
	for m := range values {
		for c := range values[m] {
			for _, v := range values[m][c] {
				most = max(most, math.Abs(v))
			}
		}
	}
	return most
}

// sample returns the angular orders 0…angles−1 of the three components at a panel's
// nodes. Half a sector of directions is enough: the other half is its mirror image.
func (k *Kernel) sample(ctx context.Context, p panel, angles int) ([][3][degree + 1]float64, error) {
	values := make([][3][degree + 1]float64, angles)
	at := make([][3]float64, angles)
	// cos and sin of π/angles (a + ½) m, a repeating table in a·2m + m.
	cosines := make([]float64, 4*angles)
	for i := range cosines {
		cosines[i] = math.Cos(math.Pi * float64(i) / (2 * float64(angles)))
	}
	for j, u := range nodes {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("building the kernel: %w", err)
		}
		r := p.mid + p.half*u
		for a := range at {
			phi := 0.0
			if k.spec.Fold > 0 {
				phi = math.Pi / float64(k.spec.Fold) * (float64(a) + 0.5) / float64(angles)
			}
			sin, cos := math.Sincos(phi)
			b := k.spec.Source.B(r3.Vec{X: r * cos, Y: r * sin, Z: k.spec.Height})
			if math.IsNaN(b.X+b.Y+b.Z) || math.IsInf(b.X+b.Y+b.Z, 0) {
				return nil, fmt.Errorf("building the kernel: field is not finite at r = %g m, z = %g m", r, k.spec.Height)
			}
			at[a] = [3]float64{b.X*cos + b.Y*sin, b.Y*cos - b.X*sin, b.Z}
		}
		for m := range values {
			var sum [3]float64
			for a, v := range at {
				i := m * (2*a + 1) % (4 * angles)
				cos, sin := cosines[i], cosines[(i+3*angles)%(4*angles)]
				sum[0] += v[0] * cos
				sum[1] += v[1] * sin
				sum[2] += v[2] * cos
			}
			scale := 2 / float64(angles)
			if m == 0 {
				scale = 1 / float64(angles)
			}
			for c := range sum {
				values[m][c][j] = sum[c] * scale
			}
		}
	}
	return values, nil
}

// check measures the largest error at fresh, seeded points.
func (k *Kernel) check() float64 {
	rng := rand.New(rand.NewPCG(1, 2))
	worst := 0.0
	for i := range 64 {
		r := k.spec.Reach * rng.Float64()
		if i%2 == 0 {
			r = min(k.spec.Reach, 2*k.spec.Scale) * rng.Float64()
		}
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		p := r3.Vec{X: r * cos, Y: r * sin, Z: k.spec.Height}
		worst = max(worst, r3.Norm(r3.Sub(k.At(p.X, p.Y), k.spec.Source.B(p))))
	}
	return worst / k.Peak
}

// At returns the flux density at (x, y) metres from the pixel's axis, in the
// source's tesla (per ampere for a coil of 1 A).
func (k *Kernel) At(x, y float64) r3.Vec {
	g := k.evaluate(x, y)
	return g.B
}

// Local is the field at a point of the plane with its gradient.
type Local struct {
	B r3.Vec // T
	// The in-plane derivatives, T/m. In air ∂Bx/∂y = ∂By/∂x, ∂Bx/∂z = ∂Bz/∂x,
	// ∂By/∂z = ∂Bz/∂y and ∂Bz/∂z = −∂Bx/∂x − ∂By/∂y.
	DxBx, DxBy, DyBy, DxBz, DyBz float64
}

// LocalAt returns the field and its gradient at (x, y) metres from the axis.
func (k *Kernel) LocalAt(x, y float64) Local { return k.evaluate(x, y) }

func (k *Kernel) evaluate(x, y float64) Local {
	r := math.Hypot(x, y)
	cos, sin := 1.0, 0.0
	if r > 0 {
		cos, sin = x/r, y/r
	}
	i := sort.SearchFloat64s(k.edges, r) - 1
	i = min(max(i, 0), len(k.panels)-1)
	p := &k.panels[i]
	u := (r - p.mid) / p.half

	var br, bp, bz float64          // components
	var brR, bpR, bzR float64       // ∂/∂r
	var brPhi, bpPhi, bzPhi float64 // ∂/∂φ
	cn, sn := 1.0, 0.0              // cos(nkφ), sin(nkφ)
	c1, s1 := 1.0, 0.0
	if len(p.harmonics) > 1 {
		s1, c1 = math.Sincos(float64(k.spec.Fold) * math.Atan2(y, x))
	}
	for m := range p.harmonics {
		h := &p.harmonics[m]
		nk := float64(m * k.spec.Fold)
		vr, dr := h[0].at(u)
		vz, dz := h[2].at(u)
		br += vr * cn
		brR += dr * cn
		bz += vz * cn
		bzR += dz * cn
		if m > 0 {
			vp, dp := h[1].at(u)
			bp += vp * sn
			bpR += dp * sn
			brPhi -= nk * vr * sn
			bzPhi -= nk * vz * sn
			bpPhi += nk * vp * cn
		}
		cn, sn = cn*c1-sn*s1, sn*c1+cn*s1
	}
	brR /= p.half
	bpR /= p.half
	bzR /= p.half

	// ∂Br/∂r, (1/r ∂Bφ/∂φ + Br/r) and the shear; at the axis by their limits.
	hoop, shear, bzT := brR, 0.0, 0.0
	if r > 1e-9*k.spec.Scale {
		hoop = (bpPhi + br) / r
		shear = (brPhi - bp) / r // equals ∂Bφ/∂r in a curl-free field
		shear = (shear + bpR) / 2
		bzT = bzPhi / r
	}
	return Local{
		B:    r3.Vec{X: br*cos - bp*sin, Y: br*sin + bp*cos, Z: bz},
		DxBx: brR*cos*cos + hoop*sin*sin - 2*shear*sin*cos,
		DyBy: brR*sin*sin + hoop*cos*cos + 2*shear*sin*cos,
		DxBy: (brR-hoop)*sin*cos + shear*(cos*cos-sin*sin),
		DxBz: bzR*cos - bzT*sin,
		DyBz: bzR*sin + bzT*cos,
	}
}
