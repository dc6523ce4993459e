package generate

import (
	"context"
	"fmt"
	"math"

	"lodegrid/scenes"
)

func clockDefaults(p *Params) {
	p.Duration, p.FrameTime, p.Speed = 60, 0.5, 1
	p.TimeOfDay = 12*3600 + 34*60
}

// clock shows hours and minutes, 00:00 to 23:59, beginning at TimeOfDay and running
// Speed times as fast as real time. The colon is lit in the first half of every
// second of the scene. The layout is the first of clockLayouts that fits.
func clock(ctx context.Context, p Params) (scenes.Scene, error) {
	if !(p.TimeOfDay >= 0 && p.TimeOfDay < 24*3600) {
		return scenes.Scene{}, fmt.Errorf("time of day %g s since midnight: want 0…86400, without the end", p.TimeOfDay)
	}
	if err := within("speed", p.Speed, -86400, 86400); err != nil {
		return scenes.Scene{}, err
	}
	layout, err := chooseClock(p.Rows, p.Cols)
	if err != nil {
		return scenes.Scene{}, err
	}
	face := newBitmap(p.Rows, p.Cols)
	return p.timed(ctx, p.Duration, p.FrameTime, func(i int, levels []float64) {
		t := float64(i) * p.FrameTime
		now := math.Mod(p.TimeOfDay+p.Speed*t, 24*3600)
		if now < 0 {
			now += 24 * 3600
		}
		minutes := int((now+1e-6)/60) % (24 * 60)
		clear(face.lit)
		layout.draw(face, minutes/60, minutes%60, math.Mod(t+1e-6, 1) < 0.5)
		for k, lit := range face.lit {
			levels[k] = step(lit)
		}
	})
}

// clockLayout is a way to set two hours and two minutes digits.
type clockLayout struct {
	font    dotFont
	digit   int  // columns of a digit
	colon   int  // columns of the colon
	beside  int  // dark columns on either side of the colon
	stacked bool // hours above minutes, without a colon
}

// clockLayouts lists the layouts, the largest first.
func clockLayouts() []clockLayout {
	tall, middle, small := font7x13(), font5x7(), font3x5()
	return []clockLayout{
		{font: tall, digit: 6, colon: 6},
		{font: middle, digit: 5, colon: 1, beside: 1},
		{font: middle, digit: 5, colon: 1},
		{font: small, digit: 3, colon: 1, beside: 1},
		{font: small, digit: 3, colon: 1},
		{font: middle, digit: 5, stacked: true},
		{font: small, digit: 3, stacked: true},
	}
}

func (l clockLayout) pair() int { return 2*l.digit + l.font.gap }

func (l clockLayout) size() (rows, cols int) {
	if l.stacked {
		return 2*l.font.height + 1, l.pair()
	}
	return l.font.height, 2*l.pair() + 2*l.beside + l.colon
}

func chooseClock(rows, cols int) (clockLayout, error) {
	for _, l := range clockLayouts() {
		if r, c := l.size(); r <= rows && c <= cols {
			return l, nil
		}
	}
	return clockLayout{}, fmt.Errorf("a grid of %d rows × %d columns is too small for a clock: want 5 × 15 in one line or 11 × 7 in two", rows, cols)
}

func (l clockLayout) draw(face bitmap, hours, minutes int, colon bool) {
	rows, cols := l.size()
	top, left := (face.rows-rows)/2, (face.cols-cols)/2
	l.drawPair(face, hours, top, left)
	if l.stacked {
		l.drawPair(face, minutes, top+l.font.height+1, left)
		return
	}
	at := left + l.pair() + l.beside
	if colon {
		if g, ok := l.font.glyph(':'); ok {
			face.paste(g, top, at)
		}
	}
	l.drawPair(face, minutes, top, at+l.colon+l.beside)
}

func (l clockLayout) drawPair(face bitmap, v, top, left int) {
	for i, d := range []int{v / 10, v % 10} {
		g, _ := l.font.glyph(rune('0' + d)) // every font has the digits; tested
		// A narrow digit stands in the middle of its place.
		face.paste(g, top, left+i*(l.digit+l.font.gap)+(l.digit-g.cols)/2)
	}
}
