package coil

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lodegrid/field/quantity/spelling"
)

// check finds what is wrong with a spec before any rule of a board house or any
// geometry is looked at. It expects defaults filled in.
func (s Spec) check() error {
	if !slices.Contains(Shapes(), s.Shape) {
		return params.Refuse("shape", nil, fmt.Sprintf("%q is not a shape", s.Shape), strings.Join(spelling.Texts(Shapes()), ", "))
	}
	for _, v := range []struct {
		key   string
		value float64
	}{{"outer", s.Outer}, {"track", s.Track}, {"gap", s.Gap}} {
		if err := positive(v.key, "", v.value); err != nil {
			return err
		}
	}
	for _, v := range []struct {
		key   string
		value float64
	}{{"inner", s.Inner}, {"turns", s.Turns}, {"via_drill", s.ViaDrill}, {"via_plating", s.ViaPlating}, {"via_drill", s.ViaRing}, {"corner_radius", s.CornerRadius}} {
		if v.value < 0 || math.IsNaN(v.value) || math.IsInf(v.value, 0) {
			return params.Refuse(v.key, nil, fmt.Sprintf("%v is negative or not a number", v.value), "zero or a positive value")
		}
	}
	if s.Inner == 0 && s.Turns == 0 {
		return params.Refuse("turns", nil, "neither turns nor inner is given", "one of the two, or both")
	}
	if s.Turns != 0 && (s.Turns < 1 || s.Turns > maxTurns) {
		return params.Refuse("turns", nil, fmt.Sprintf("%g turns per layer", s.Turns), fmt.Sprintf("1 to %d", maxTurns))
	}
	if s.Shape == RoundedSquare && (s.CornerRadius < s.Track || s.CornerRadius > s.Outer/2) {
		return params.Refuse("corner_radius", nil,
			fmt.Sprintf("%s for a rounded square of %s with a track of %s", mm(s.CornerRadius), mm(s.Outer), mm(s.Track)),
			fmt.Sprintf("%s to %s (sharper: shape square; rounder: shape round)", mm(s.Track), mm(s.Outer/2)))
	}
	if err := s.checkLayers(); err != nil {
		return err
	}
	if s.ParallelGroups < 1 || s.ParallelGroups > len(s.Layers) || len(s.Layers)%s.ParallelGroups != 0 {
		return params.Refuse("parallel_groups", nil,
			fmt.Sprintf("%d layers do not divide into %d equal groups", len(s.Layers), s.ParallelGroups),
			"one of "+list(divisors(len(s.Layers))))
	}
	if len(s.Layers) > 1 {
		if err := positive("via_drill", "", s.ViaDrill); err != nil {
			return err
		}
		if !(s.ViaPlating > 0 && s.ViaPlating <= s.ViaDrill/2) {
			return params.Refuse("via_plating", nil,
				fmt.Sprintf("%s of copper in a hole of %s", um(s.ViaPlating), mm(s.ViaDrill)),
				fmt.Sprintf("more than 0 and no more than %s, which fills the hole", um(s.ViaDrill/2)))
		}
	}
	return nil
}

// Bounds that keep a mistyped number from eating the machine.
const (
	maxTurns  = 10000
	maxLayers = 100
)

func (s Spec) checkLayers() error {
	if len(s.Layers) < 1 || len(s.Layers) > maxLayers {
		return params.Refuse("layers", nil, fmt.Sprintf("%d layers", len(s.Layers)), fmt.Sprintf("1 to %d", maxLayers))
	}
	for i, l := range s.Layers {
		if err := positive("layers", fmt.Sprintf("copper of layer %d", i+1), l.Copper); err != nil {
			return err
		}
		if math.IsNaN(l.Z) || math.IsInf(l.Z, 0) {
			return params.Refuse("layers", nil, fmt.Sprintf("height of layer %d is %v", i+1, l.Z), "a finite height")
		}
		if i > 0 && s.Layers[i-1].Z-s.Layers[i-1].Copper/2 <= l.Z+l.Copper/2 {
			return params.Refuse("layers", nil,
				fmt.Sprintf("the copper of layer %d (middle at %s) touches or lies above that of layer %d (middle at %s)", i+1, mm(l.Z), i, mm(s.Layers[i-1].Z)),
				"layers listed front first, with insulation between them")
		}
	}
	return nil
}

func positive(key, what string, v float64) error {
	if v > 0 && !math.IsInf(v, 0) {
		return nil
	}
	if what != "" {
		what += " "
	}
	return params.Refuse(key, nil, fmt.Sprintf("%s%v m", what, v), "more than zero")
}

func divisors(n int) []int {
	var d []int
	for i := 1; i <= n; i++ {
		if n%i == 0 {
			d = append(d, i)
		}
	}
	return d
}

// mm and um print lengths in messages, rounded to what a board house can hold.
func mm(v float64) string { return fmt.Sprintf("%.4g mm", v*1e3) }
func um(v float64) string { return fmt.Sprintf("%.4g µm", v*1e6) }
