package render

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"strings"

	xdraw "golang.org/x/image/draw"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
)

// Contact collects the pictures of a contact sheet while a film is made: some spread
// evenly over its length, and the moments at which something was at its worst.
type Contact struct {
	tank   image.Rectangle // in the film's pictures
	length float64         // s
	even   []still
	worst  [worsts]still
	limits design.Design
	legend func(*image.RGBA, image.Rectangle)
}

// Bars puts bars of power and heat under the sheet's pictures, against the design's limits, and
// the legend of their colours, if they have one, over them.
func (c *Contact) Bars(d design.Design, legend func(*image.RGBA, image.Rectangle)) {
	c.limits, c.legend = d, legend
}

// bars are a moment's power and heat as shares of what is allowed; without a supply's rating, of
// the sheet's greatest power.
func (c *Contact) bars(m Moment, most float64) [2]float64 {
	if p := c.limits.UsablePower(); p > 0 {
		most = p
	}
	ambient := c.limits.Heat.Ambient
	return [2]float64{m.Power / max(most, 1e-9), (m.Hottest - ambient) / max(c.limits.Limits.Board-ambient, 1)}
}

// Moment is what is known about a picture of a film.
type Moment struct {
	At           float64 // s into the scene
	Power        float64 // W from the supply
	Hottest      float64 // K, hottest coil
	Lit, Reached int     // lit pixels, and those the fluid is on
	Full         float64 // 0…1, how full of fluid their places are; of no meaning without a lit one
}

type still struct {
	img *image.RGBA
	Moment
	why []string
}

// The kinds of worst moment.
const (
	drawingMoment = iota
	hottestMoment
	laggingMoment
	worsts
)

var worstNames = [worsts]string{"draws most", "hottest", "fluid farthest behind"}

// The sheet's layout, pixels.
const (
	contactCols  = 4
	contactEven  = 13 // spread over the film; with the worst three they fill four rows
	contactWidth = 320
	contactPad   = 14
	contactText  = 62
	contactHead  = 44
	contactFoot  = 14
)

// NewContact starts a sheet of a film of so many seconds of the scene, whose
// pictures show the tank in the given rectangle.
func NewContact(tank image.Rectangle, length float64) *Contact {
	return &Contact{tank: tank, length: length}
}

// Add looks at a picture of the film, in the order of time.
func (c *Contact) Add(img *image.RGBA, m Moment) {
	if m.At >= c.length*float64(len(c.even))/(contactEven-1)*(1-1e-9) || len(c.even) == 0 {
		c.even = append(c.even, still{img: c.shrink(img), Moment: m})
		for len(c.even) < contactEven && m.At >= c.length*float64(len(c.even))/(contactEven-1)*(1-1e-9) {
			c.even = append(c.even, c.even[len(c.even)-1]) // a film of few pictures
		}
	}
	for k := range c.worst {
		if w := &c.worst[k]; worse(k, m, w) {
			*w = still{img: c.shrink(img), Moment: m, why: worstNames[k : k+1]}
		}
	}
}

// worse tells whether a moment is worse than the worst so far.
func worse(kind int, m Moment, w *still) bool {
	switch kind {
	case drawingMoment:
		return w.img == nil || m.Power > w.Power
	case hottestMoment:
		return w.img == nil || m.Hottest > w.Hottest
	}
	return m.Lit > 0 && (w.img == nil || m.Full < w.Full)
}

func (c *Contact) shrink(img *image.RGBA) *image.RGBA {
	out := image.NewRGBA(image.Rect(0, 0, contactWidth, max(contactWidth*c.tank.Dy()/c.tank.Dx(), 1)))
	xdraw.ApproxBiLinear.Scale(out, out.Rect, img, c.tank, draw.Src, nil)
	return out
}

// stills are the sheet's pictures in the order of time, each moment once.
func (c *Contact) stills() []still {
	var list []still
	worst := append([]still(nil), c.worst[:]...)
	for _, s := range c.even {
		if n := len(list); n == 0 || list[n-1].At != s.At {
			list = append(list, s)
		}
	}
	for _, w := range worst {
		if w.img == nil {
			continue
		}
		k := 0
		for k < len(list) && list[k].At < w.At {
			k++
		}
		if k < len(list) && list[k].At == w.At {
			list[k].why = append(append([]string(nil), list[k].why...), w.why...)
			continue
		}
		list = append(list[:k], append([]still{w}, list[k:]...)...)
	}
	return list
}

// Sheet lays out what was collected, under a title.
func (c *Contact) Sheet(title string) *image.RGBA {
	list := c.stills()
	cols := min(contactCols, max(len(list), 1))
	rows := (len(list) + cols - 1) / cols
	high := max(contactWidth*c.tank.Dy()/max(c.tank.Dx(), 1), 1)
	img := image.NewRGBA(image.Rect(0, 0, contactPad+cols*(contactWidth+contactPad), contactHead+rows*(high+contactText)+contactPad+contactFoot))
	draw.Draw(img, img.Rect, image.NewUniform(paper), image.Point{}, draw.Src)
	head, text := NewLettering(17, true), NewLettering(13, false)
	head.Draw(img, contactPad, 28, title, ink)
	if x := contactPad + head.Width(title) + 30; c.legend != nil && img.Rect.Dx()-x > 300 {
		c.legend(img, image.Rect(x, 12, min(x+700, img.Rect.Dx()-contactPad), 36))
	}
	most := 0.0
	for _, s := range list {
		most = max(most, s.Power)
	}
	for i, s := range list {
		x, y := contactPad+i%cols*(contactWidth+contactPad), contactHead+i/cols*(high+contactText)
		draw.Draw(img, s.img.Rect.Add(image.Pt(x, y)), s.img, image.Point{}, draw.Src)
		for k, share := range c.bars(s.Moment, most) {
			bar := image.Rect(x, y+high+4+7*k, x+contactWidth, y+high+9+7*k)
			draw.Draw(img, bar, image.NewUniform(chartGrid), image.Point{}, draw.Src)
			colour := lineColors[k]
			if share > 1 {
				colour = warning
			}
			bar.Max.X = x + int(float64(contactWidth)*min(max(share, 0), 1))
			draw.Draw(img, bar, image.NewUniform(colour), image.Point{}, draw.Src)
		}
		line := fmt.Sprintf("%.1f s   %s W   %s", s.At, quantity.Figure(s.Power, 3), celsius(s.Hottest))
		if s.Lit > 0 {
			line += fmt.Sprintf("   fluid on %d of %d", s.Reached, s.Lit)
		}
		text.Draw(img, x, y+high+34, line, ink)
		if len(s.why) > 0 {
			text.Draw(img, x, y+high+51, strings.Join(s.why, ", "), color.Color(warning))
		}
	}
	text.Draw(img, contactPad, img.Rect.Max.Y-12, c.meaning(most), faint)
	return img
}

// meaning tells what the bars are.
func (c *Contact) meaning(most float64) string {
	of := "the greatest here, " + quantity.Format(most, quantity.Power)
	if p := c.limits.UsablePower(); p > 0 {
		of = "the supply's " + quantity.Format(p, quantity.Power)
	}
	return fmt.Sprintf("Bars: power, of %s; hottest coil, from the air's %s to the board's limit of %s", of, celsius(c.limits.Heat.Ambient), celsius(c.limits.Limits.Board))
}
