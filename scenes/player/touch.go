package player

import (
	"math"

	"lodegrid/array/heat"
)

// Touch returns the hottest surface that a hand can reach, in kelvin: the pane in
// front of the board, or whatever forms the back.
func (p *Player) Touch() float64 {
	params := p.net.Params()
	hottest := 0.0
	for i, l := range params.Layers {
		t, _ := p.net.Hottest(i)
		if l.Front > 0 {
			hottest = max(hottest, p.net.Surface(&params.Front, t))
		}
		if l.Back > 0 {
			hottest = max(hottest, p.net.Surface(&params.Back, t))
		}
	}
	return hottest
}

// overTouch tells whether a surface over a pixel is hotter now than the touch limit.
func (p *Player) overTouch() func(pixel int) bool {
	if p.touchFrom == nil {
		p.touchFrom = p.touchLimits()
	}
	layers := make([][]float64, len(p.touchFrom))
	for l := range layers {
		layers[l] = p.net.Temperatures(l)
	}
	return func(pixel int) bool {
		for l, from := range p.touchFrom {
			if layers[l][pixel] > from {
				return true
			}
		}
		return false
	}
}

// touchLimits returns for each layer the temperature in kelvin from which a surface in
// front of it or behind it is over the touch limit; +Inf for a layer that shows none.
func (p *Player) touchLimits() []float64 {
	params, limit := p.net.Params(), p.grid.Design.Limits.Touch
	list := make([]float64, len(params.Layers))
	for i, l := range params.Layers {
		list[i] = math.Inf(1)
		for _, f := range []struct {
			film *heat.Film
			area float64
		}{{&params.Front, l.Front}, {&params.Back, l.Back}} {
			low, high := params.Ambient, params.Ceiling
			if f.area == 0 || p.net.Surface(f.film, high) <= limit {
				continue
			}
			for high-low > 1e-6 {
				if mid := (low + high) / 2; p.net.Surface(f.film, mid) > limit {
					high = mid
				} else {
					low = mid
				}
			}
			list[i] = min(list[i], high)
		}
	}
	return list
}
