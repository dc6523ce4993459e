package player

import (
	"math"

	"lodegrid/array/heat"
	"lodegrid/field/root"
)

// Touch returns the hottest surface that a hand can reach, in kelvin.
func (p *Player) Touch() float64 { return p.net.Touch() }

// overTouch tells whether a surface over a pixel is hotter now than the touch limit.
func (p *Player) overTouch() func(pixel int) bool {
	if p.touchFrom == nil {
		p.touchFrom = p.touchLimits()
	}
	front, back := p.net.Spots(true), p.net.Spots(false)
	return func(pixel int) bool { return front[pixel] > p.touchFrom[0] || back[pixel] > p.touchFrom[1] }
}

// touchLimits returns the temperatures in kelvin behind the front and behind the back
// from which that surface is over the touch limit; +Inf for one that never is.
func (p *Player) touchLimits() *[2]float64 {
	params, limit := p.net.Params(), p.grid.Design.Limits.Touch
	var list [2]float64
	for i, film := range []*heat.Film{&params.Front, &params.Back} {
		list[i] = math.Inf(1)
		low, high := params.Ambient, params.Ceiling
		if p.net.Surface(film, high) <= limit {
			continue
		}
		_, list[i] = root.Boundary(func(node float64) bool { return p.net.Surface(film, node) <= limit }, low, high, 1e-6)
	}
	return &list
}
