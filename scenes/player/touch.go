package player

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
