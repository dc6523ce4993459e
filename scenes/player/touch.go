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
