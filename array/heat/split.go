package heat

// splitStepper is the symmetric splitting
//
//	rows(h/2) columns(h/2) stack(h) columns(h/2) rows(h/2)
//
// of second order (G. Strang, SIAM J. Numer. Anal. 5 (1968) 506), each part
// stable at any h. Its error grows with h times the rates of the parts, so it
// is the scheme for frame-sized steps; it takes any board.
type splitStepper struct {
	n      *Network
	sweeps [4]*sweeper // for the step lengths used last
	next   int
	stack  stack
}

func newSplitStepper(n *Network) *splitStepper {
	return &splitStepper{n: n, stack: stack{n: n}}
}

// sweeper returns the factored sweeps for steps of h.
func (s *splitStepper) sweeper(h float64) *sweeper {
	for _, w := range s.sweeps {
		if w != nil && w.h == h {
			return w
		}
	}
	w := s.sweeps[s.next]
	if w == nil {
		w = newSweeper(s.n)
		s.sweeps[s.next] = w
	}
	s.next = (s.next + 1) % len(s.sweeps)
	w.prepare(h)
	return w
}

func (s *splitStepper) step(h float64, load Load) {
	n := s.n
	w := s.sweeper(h / 2)
	w.rows(n.rise)
	w.columns(n.rise)
	s.stack.step(h, load)
	w.columns(n.rise)
	w.rows(n.rise)
}
