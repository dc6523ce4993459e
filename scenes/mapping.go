package scenes

import (
	"context"
	"errors"
	"fmt"
	"math"

	"lodegrid/array/extent"
)

// MappingKind names how a luminance becomes a drive level.
type MappingKind string

// The mappings.
const (
	Threshold MappingKind = "threshold" // on or off
	Linear    MappingKind = "linear"    // in proportion
	Dither    MappingKind = "dither"    // on or off, the share of lit pixels in proportion
)

// Mapping turns a luminance y of 0…1 into a drive level, in this order:
//
//	v = y^Gamma
//	v = 1 − v                      if Invert
//	v = 1 if v ≥ Threshold else 0  if Kind is Threshold
//	v = 1 if v > t(row, col) else 0  if Kind is Dither
//	v = 2v − 1                     if Bipolar: dark is reversed current
//	level = v·Level
//
// Dither compares with the 8 × 8 ordered pattern of Bayer (1973): it does not
// depend on the neighbours, so a still part of an animation does not flicker.
type Mapping struct {
	Kind      MappingKind
	Threshold float64 // 0…1, for kind Threshold
	Gamma     float64 // exponent on the luminance, 0.05…20; 1 keeps the light's proportion, 1/2.2 comes near the file's code values
	Invert    bool    // dark pixels are driven
	Bipolar   bool    // −Level…Level in place of 0…Level; needs a driver that can reverse the current
	Level     float64 // −1…1, not 0: level of a fully bright pixel
}

// DefaultMapping drives in proportion to the light, 0…1.
func DefaultMapping() Mapping {
	return Mapping{Kind: Linear, Threshold: 0.5, Gamma: 1, Level: 1}
}

// Validate reports the first field out of its range.
func (m Mapping) Validate() error {
	switch m.Kind {
	case Threshold, Linear, Dither:
	default:
		return fmt.Errorf("mapping kind %q: want %q, %q or %q", string(m.Kind), string(Threshold), string(Linear), string(Dither))
	}
	if !(m.Threshold >= 0 && m.Threshold <= 1) {
		return fmt.Errorf("mapping threshold %g: want 0…1", m.Threshold)
	}
	if !(m.Gamma >= 0.05 && m.Gamma <= 20) {
		return fmt.Errorf("mapping gamma %g: want 0.05…20, 1 for none", m.Gamma)
	}
	if !(math.Abs(m.Level) <= 1) {
		return fmt.Errorf("mapping level %g: want −1…1", m.Level)
	}
	if m.Level == 0 {
		return errors.New("mapping level 0 would switch every pixel off: want −1…1, not 0")
	}
	return nil
}

// Map writes the levels of a picture of luminances to dst, which may be the same
// slice; cols is the picture's width, which places the dither pattern.
// Luminances outside 0…1 are clipped.
func (m Mapping) Map(dst, luminance []float64, cols int) {
	for i, y := range luminance {
		v := math.Min(math.Max(y, 0), 1)
		if m.Gamma != 1 {
			v = math.Pow(v, m.Gamma)
		}
		if m.Invert {
			v = 1 - v
		}
		switch m.Kind {
		case Threshold:
			v = step(v >= m.Threshold)
		case Dither:
			v = step(v > bayer8[i/cols&7][i%cols&7])
		}
		if m.Bipolar {
			v = 2*v - 1
		}
		dst[i] = v * m.Level
	}
}

func step(on bool) float64 {
	if on {
		return 1
	}
	return 0
}

// Scene returns s with every frame's levels, taken as luminances, mapped. It is
// how the brightness of a generated scene is turned into drive. A scene with a
// negative level holds drive levels already and is refused.
func (m Mapping) Scene(ctx context.Context, s Scene) (Scene, error) {
	if err := m.Validate(); err != nil {
		return Scene{}, fmt.Errorf("mapping scene %q: %w", s.Name, err)
	}
	if err := s.Validate(); err != nil {
		return Scene{}, fmt.Errorf("mapping: %w", err)
	}
	out := New(s.Name, s.Rows, s.Cols, len(s.Frames), 0)
	return out, m.into(ctx, out, s)
}

// InPlace maps a scene that is valid, and no one else's, without a copy.
func (m Mapping) InPlace(ctx context.Context, s Scene) error { return m.into(ctx, s, s) }

func (m Mapping) into(ctx context.Context, out, s Scene) error {
	for i, f := range s.Frames {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("mapping scene %q, after %d of %d frames: %w", s.Name, i, len(s.Frames), err)
		}
		for p, v := range f.Levels {
			if v < 0 {
				return fmt.Errorf("mapping scene %q: frame %d, %s has level %g: drive levels cannot be mapped again, want brightness 0…1",
					s.Name, i+1, extent.PlaceOf(p, s.Cols), v)
			}
		}
		m.Map(out.Frames[i].Levels, f.Levels, s.Cols)
		out.Frames[i].Duration = f.Duration
	}
	return nil
}
