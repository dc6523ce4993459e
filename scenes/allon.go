package scenes

func allOnDefaults(p *Params) { p.Duration = 10 }

// allOn is one frame with every pixel lit: the greatest load there is.
func allOn(p Params) (Scene, error) {
	s, err := p.timed(p.Duration, p.Duration)
	if err != nil {
		return Scene{}, err
	}
	for k := range s.Frames[0].Levels {
		s.Frames[0].Levels[k] = 1
	}
	return s, nil
}
