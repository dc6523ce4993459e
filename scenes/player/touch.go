package player

import "lodegrid/array"

// Touch returns the hottest surface that a hand can reach, in kelvin: the pane in
// front of the board, or whatever forms the back.
func (p *Player) Touch() float64 {
	params := p.net.Params()
	board, _ := p.net.Hottest(array.BoardLayer)
	last := len(params.Layers) - 1
	back, _ := p.net.Hottest(last)
	return max(p.net.Surface(&params.Front, board), p.net.Surface(&params.Back, back))
}

// touchOf is Touch for a steady state.
func (p *Player) touchOf(layers [][]float64) float64 {
	params := p.net.Params()
	hottest := func(t []float64) float64 {
		m := t[0]
		for _, v := range t {
			m = max(m, v)
		}
		return m
	}
	return max(p.net.Surface(&params.Front, hottest(layers[array.BoardLayer])),
		p.net.Surface(&params.Back, hottest(layers[len(layers)-1])))
}
