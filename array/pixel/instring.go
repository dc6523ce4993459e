package pixel

import (
	"math"
	"sync"

	"lodegrid/array/design"
	"lodegrid/array/drive"
)

// beside keeps what a coil's neighbours in a row are to it, found when a string first asks.
type beside struct {
	sync.Mutex
	mutual map[besides][2]float64 // H, with a coil so far away and with its mirror image
	whole  map[float64]float64    // H, of the coil and its own image, by the face
}

// besides is where a neighbour and its image are, m.
type besides struct{ away, face float64 }

// InString is the inductance in henries of a coil that has an own one, in its string: the
// coils beside it, whose fields go the other way through it, take some off. What steel or a
// metal core adds is told by the coil's own inductance: a mirror image in its face times what
// that asks for, of the neighbours as of the coil itself. Metal mirrors them better, its image
// lying deeper: of a coil of one layer in a pair at 300 kHz this takes 1.6 % off, a
// mirror half a skin depth down 0.1 % (2.1 % and 0.1 % at 50 kHz), so that the ripple is told
// too great rather than too small. What the ripple heats in that face is taken as the coil's
// alone, too great rather than too small: of the same pair the neighbour takes off 0.2 % where
// the skin is thin, 2.5 % where its image is as deep as the coil's.
func (p Pixel) InString(d design.Design, own float64) float64 {
	if d.Coils() == 1 || p.beside == nil {
		return own
	}
	face, mirror := math.Inf(-1), 0.0
	if own != p.Coil.Inductance() {
		if front, _, metal := d.MetalCore(); metal > 0 {
			face = front
		}
		if d.Iron.Model != design.IronNone {
			face = max(face, d.IronFront())
		}
	}
	p.beside.Lock()
	defer p.beside.Unlock()
	if !math.IsInf(face, 0) {
		whole, known := p.beside.whole[face]
		if !known {
			whole = p.Coil.MutualWithImage(face)
			p.beside.whole[face] = whole
		}
		mirror = (own - p.Coil.Inductance()) / whole
	}
	list := make([][2]float64, d.Coils())
	for apart := 1; apart < d.Coils(); apart++ {
		at := besides{float64(apart) * d.Grid.Pitch, face}
		m, known := p.beside.mutual[at]
		if !known {
			m[0], m[1] = p.Coil.Beside(at.away, at.face)
			p.beside.mutual[at] = m
		}
		list[apart] = m
	}
	return drive.InString(d.Coils(), own, func(apart int) float64 { return list[apart][0] + mirror*list[apart][1] })
}

func newBeside() *beside {
	return &beside{mutual: map[besides][2]float64{}, whole: map[float64]float64{}}
}
