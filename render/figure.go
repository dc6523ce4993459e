package render

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"

	"gonum.org/v1/plot/vg"
)

// The size of a chart in an HTML page, points. The page scales it to its column; it
// is small enough that its lettering stays readable on a phone.
const figureWidth, figureHeight = 380, 250

// inline returns the chart as an SVG element for an HTML page. Its colours are the
// page's own (CSS variables), so that it follows a dark page; its title is left to
// the figure's caption.
func (c Chart) inline() (template.HTML, error) {
	label := c.Title
	c.Title = ""
	var b bytes.Buffer
	if err := c.write(&b, "svg", figureWidth, figureHeight, false); err != nil {
		return "", err
	}
	text := b.String()
	start := strings.Index(text, "<g")
	if start < 0 || !strings.HasSuffix(strings.TrimSpace(text), "</svg>") {
		return "", fmt.Errorf("drawing chart %q: the SVG writer's output has another form than expected", label)
	}
	pairs := []string{
		"font-family:Liberation Sans;font-variant:normal;font-weight:normal;font-style:normal;", "",
		hex(paper), "none", "#000000", "currentColor", hex(ink), "currentColor",
		hex(chartGrid), "var(--grid)", hex(warning), "var(--bad)",
	}
	for i, k := range lineColors[:len(lineColors)-1] {
		pairs = append(pairs, hex(k), fmt.Sprintf("var(--line%d)", i+1))
	}
	var key strings.Builder
	for i, l := range c.Lines {
		key.WriteString(keyEntry(l.Label, l.color(i), l.dashes(i)))
	}
	for i, l := range c.Levels {
		key.WriteString(keyEntry(l.Label, warning, levelDashes(i)))
	}
	head := fmt.Sprintf(`<ul class="key">%s</ul><svg class="chart" viewBox="0 0 %d %d" role="img" aria-label="%s" fill="currentColor">`,
		key.String(), figureWidth, figureHeight, template.HTMLEscapeString(label))
	// The body is the SVG writer's, which escapes the chart's texts.
	return template.HTML(strings.NewReplacer(pairs...).Replace(head + text[start:])), nil
}

// keyEntry is a curve's sample and name.
func keyEntry(label string, c color.RGBA, dash []vg.Length) string {
	lengths := make([]string, len(dash))
	for i, l := range dash {
		lengths[i] = fmt.Sprintf("%g", l.Points())
	}
	return fmt.Sprintf(`<li><svg viewBox="0 0 24 8" aria-hidden="true"><path d="M0 4h24" stroke="%s" stroke-width="2.4" stroke-dasharray="%s"/></svg> %s</li>`,
		hex(c), strings.Join(lengths, " "), template.HTMLEscapeString(label))
}

func hex(c color.RGBA) string { return fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B) }

// pageMap is a map laid out for an HTML page: the raster and the bar's colours as
// pictures, the lettering as text.
type pageMap struct {
	Label, Unit           string
	Width, Height         float64 // of the whole, in the SVG's units
	W, H                  float64 // of the raster
	X, Top                float64
	BarX, BarWidth, TickX float64
	Raster, Bar           template.URL
	Ticks                 []pageTick
	ScaleY, ScaleTextY    float64
	ScaleLength           float64
	Scale                 string
	Numbers               []pageNumber
	Keys                  []Key
}

// pageNumber is a column's number over the map or a row's beside it.
type pageNumber struct {
	X, Y float64
	Text string
}

type pageTick struct {
	Y, TextY float64
	Label    string
}

// layout places the map for a page.
func (m Map) layout() (pageMap, error) {
	const raster = 720 // pixels across
	if err := m.check(); err != nil {
		return pageMap{}, err
	}
	low, high := m.scale()
	p := pageMap{Label: m.Title, Unit: m.Unit, Width: 420, W: 360, Top: 20, BarWidth: 12, Keys: m.Keys}
	if m.Pitch > 0 {
		p.X, p.W, p.Top = 18, 342, 32
	}
	p.H = max(p.W*float64(m.Rows)/float64(m.Cols), 24)
	p.Height = p.Top + p.H + 26
	p.BarX, p.TickX = p.X+p.W+10, p.X+p.W+10+p.BarWidth

	img := image.NewRGBA(image.Rect(0, 0, raster, int(raster*p.H/p.W+0.5)))
	m.paint(img, img.Rect, low, high)
	bar := image.NewRGBA(image.Rect(0, 0, 1, 256))
	for i := range 256 {
		bar.SetRGBA(0, i, m.Colors[255-i])
	}
	var err error
	if p.Raster, err = dataURL(img); err != nil {
		return p, fmt.Errorf("drawing map %q: %w", m.Title, err)
	}
	if p.Bar, err = dataURL(bar); err != nil {
		return p, fmt.Errorf("drawing map %q: %w", m.Title, err)
	}
	for _, t := range (roundTicks{}).Ticks(low, high) {
		y := p.Top + p.H*(1-(t.Value-low)/(high-low))
		p.Ticks = append(p.Ticks, pageTick{Y: y, TextY: min(max(y+4, p.Top+9), p.Top+p.H), Label: t.Label})
	}
	for _, n := range m.columns() {
		p.Numbers = append(p.Numbers, pageNumber{p.X + n.at*p.W, p.Top - 5, n.text})
	}
	for _, n := range m.rows() {
		p.Numbers = append(p.Numbers, pageNumber{p.X / 2, p.Top + n.at*p.H + 3, n.text})
	}
	length := roundLength(m.Width)
	p.ScaleY, p.ScaleTextY = p.Top+p.H+12, p.Top+p.H+16
	p.ScaleLength = length / m.Width * p.W
	p.Scale = fmt.Sprintf("%g mm", math.Round(length*1e6)/1e3)
	return p, nil
}

// dataURL is a picture as a PNG data URL.
func dataURL(img image.Image) (template.URL, error) {
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, img); err != nil {
		return "", err
	}
	return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(b.Bytes())), nil
}
