package scope

import (
	"image"
	"math"
)

// The smallest window that everything fits into, device-independent pixels.
const (
	LeastWidth  = 700
	LeastHeight = 500

	// The same of one that is higher than wide, as a telephone held upright.
	UprightWidth  = 380
	UprightHeight = 720
)

// Plan is where everything stands in the window, in device pixels.
type Plan struct {
	Scale  float64 // device pixels per device-independent one
	Window image.Rectangle

	Tank      image.Rectangle // the tank's picture
	Bar       image.Rectangle // the colour bar's colours; empty, as its labels, without one
	BarLabels image.Rectangle // its title above and numbers beside it
	Caption   image.Rectangle // one line below the tank, and one above it where the tank leaves room
	Buttons   image.Rectangle // of the transport
	Timeline  image.Rectangle
	Time      image.Rectangle // beside the time line
	Power     image.Rectangle // strip chart, plot only; empty where there is no room, as Heat
	Heat      image.Rectangle
	Reading   image.Rectangle // under the pointer
	Status    image.Rectangle // two lines along the lower edge

	Panel    image.Rectangle // right column
	Title    image.Rectangle
	Pages    image.Rectangle // buttons
	Page     image.Rectangle // what they turn over; the following are those of the first
	Meters   image.Rectangle
	Overlays image.Rectangle   // buttons
	Sliders  []image.Rectangle // none where there is no room
	Tools    image.Rectangle   // buttons
}

// MeterHeights are the heights of the meters in device-independent pixels: three
// gauges, a line, three counts and the verdict.
const (
	GaugeHeight = 44
	CountHeight = 18
)

// NewPlan lays out a window of w × h device pixels for a tank of the ratio width
// over height, with a number of sliders, and with a colour bar or without. A window smaller
// than the least size is laid out as if it had that size, at a smaller scale.
func NewPlan(w, h int, scale, ratio float64, sliders int, bar bool) Plan {
	if h > w*5/4 {
		return upright(w, h, scale, ratio, bar)
	}
	scale = min(scale, float64(w)/LeastWidth, float64(h)/LeastHeight)
	u := func(v float64) int { return int(math.Round(v * scale)) }
	p := Plan{Scale: scale, Window: image.Rect(0, 0, w, h)}
	tall := float64(h)/scale >= 740
	pick := func(small, large float64) int {
		if tall {
			return u(large)
		}
		return u(small)
	}
	pad, gap := u(12), pick(6, 10)

	// The lower edge over the whole width.
	p.Status = image.Rect(pad, h-u(40), w-pad, h-u(4))

	// The right column.
	width := u(272)
	if float64(w)/scale >= 1200 {
		width = u(316)
	}
	p.Panel = image.Rect(w-width, 0, w, p.Status.Min.Y-u(2))
	x0, x1 := p.Panel.Min.X+pad, p.Panel.Max.X-pad
	y := u(8)
	take := func(height int) image.Rectangle {
		r := image.Rect(x0, y, x1, y+height)
		y = r.Max.Y + gap
		return r
	}
	p.Title = take(u(36))
	p.Pages = take(u(24))
	p.Page = image.Rect(x0, y, x1, p.Panel.Max.Y)
	p.Meters = take(u(3*GaugeHeight + 5*CountHeight))
	p.Overlays = take(2*u(24) + u(4))
	tools := 2*u(24) + u(4)
	row := pick(23, 29)
	if y+sliders*row+gap+tools <= p.Page.Max.Y {
		for range sliders {
			p.Sliders = append(p.Sliders, image.Rect(x0, y, x1, y+row))
			y += row
		}
		y += gap
	}
	p.Tools = take(tools)

	// The left part, from below: charts, transport, caption, tank.
	left, right := pad, p.Panel.Min.X
	charts := pick(88, 104)
	bottom := p.Status.Min.Y - u(4)
	inner := right - left
	axis := u(44)
	third := inner * 25 / 100
	p.Reading = image.Rect(left, bottom-charts, right, bottom)
	if inner >= u(600) {
		p.Power = image.Rect(left+axis, bottom-charts+u(24), left+third, bottom-u(4))
		p.Heat = p.Power.Add(image.Pt(third+u(10), 0))
		p.Reading.Min.X = p.Heat.Max.X + u(18)
	}
	bottom -= charts + gap
	p.Buttons = image.Rect(left, bottom-u(28), left+u(356), bottom)
	if inner >= u(700) {
		p.Time = image.Rect(right-u(100), bottom-u(28), right, bottom)
		p.Timeline = image.Rect(p.Buttons.Max.X+u(8), bottom-u(28), p.Time.Min.X-u(8), bottom)
	} else { // the time line over the buttons
		bottom -= u(28) + u(4)
		p.Time = image.Rect(right-u(100), bottom-u(28), right, bottom)
		p.Timeline = image.Rect(left, bottom-u(28), p.Time.Min.X-u(8), bottom)
	}
	bottom -= u(28) + gap
	p.Caption = image.Rect(left, bottom-u(18), right, bottom)
	bottom -= u(18) + u(4)

	p.place(image.Rect(left, pad, right, bottom), ratio, bar, u)
	return p
}

// upright is the plan of a window higher than wide: the tank above, the pages below. There
// is no pointer to read under, and the charts have no room.
func upright(w, h int, scale, ratio float64, bar bool) Plan {
	scale = min(scale, float64(w)/UprightWidth, float64(h)/UprightHeight)
	u := func(v float64) int { return int(math.Round(v * scale)) }
	p := Plan{Scale: scale, Window: image.Rect(0, 0, w, h)}
	pad, gap := u(10), u(6)
	left, right := pad, w-pad
	p.Status = image.Rect(left, h-u(40), right, h-u(4))

	// The column, from below: as high as its first page.
	page := u(3*GaugeHeight+5*CountHeight) + 2*(2*u(24)+u(4)) + 2*gap
	y := p.Status.Min.Y - u(4) - page
	p.Panel = image.Rect(0, y-u(36)-u(24)-2*gap, w, p.Status.Min.Y-u(2))
	x0, x1 := left, right
	p.Page = image.Rect(x0, y, x1, y+page)
	p.Pages = image.Rect(x0, y-u(24)-gap, x1, y-gap)
	p.Title = image.Rect(x0, p.Panel.Min.Y, x1, p.Panel.Min.Y+u(36))
	p.Meters = image.Rect(x0, y, x1, y+u(3*GaugeHeight+5*CountHeight))
	p.Overlays = image.Rect(x0, p.Meters.Max.Y+gap, x1, p.Meters.Max.Y+gap+2*u(24)+u(4))
	p.Tools = p.Overlays.Add(image.Pt(0, p.Overlays.Dy()+gap))

	bottom := p.Panel.Min.Y - gap
	p.Buttons = image.Rect(left, bottom-u(28), left+u(356), bottom)
	bottom -= u(28) + u(4)
	p.Time = image.Rect(right-u(100), bottom-u(28), right, bottom)
	p.Timeline = image.Rect(left, bottom-u(28), p.Time.Min.X-u(8), bottom)
	bottom -= u(28) + u(2)
	p.Caption = image.Rect(left, bottom-u(16), right, bottom)
	p.place(image.Rect(left, u(6), right, p.Caption.Min.Y-u(2)), ratio, bar, u)
	return p
}

// place puts the tank and, where there is one, its colour bar into the middle of an area.
func (p *Plan) place(in image.Rectangle, ratio float64, bar bool, u func(float64) int) {
	barRoom := 0
	if bar {
		barRoom = u(84)
	}
	tw := in.Dx() - barRoom
	th := int(float64(tw) / ratio)
	if th > in.Dy() {
		th = in.Dy()
		tw = int(float64(th) * ratio)
	}
	tw, th = max(tw, 1), max(th, 1)
	over := in.Dx() - barRoom - tw
	p.Tank = image.Rect(in.Min.X+over/2, in.Min.Y, in.Min.X+over/2+tw, in.Min.Y+th)
	if !bar {
		return
	}
	p.BarLabels = image.Rect(p.Tank.Max.X+u(10), p.Tank.Min.Y, p.Tank.Max.X+barRoom-u(4), p.Tank.Max.Y)
	p.Bar = image.Rect(p.BarLabels.Min.X, p.Tank.Min.Y+u(36), p.BarLabels.Min.X+u(14), p.Tank.Max.Y-u(6))
	if p.Bar.Dy() < 10 {
		p.Bar.Max.Y = p.Bar.Min.Y + 10
	}
}
