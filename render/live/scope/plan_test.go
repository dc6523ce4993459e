package scope

import (
	"fmt"
	"image"
	"testing"
)

// In every window nothing overlaps and nothing sticks out.
func TestPlan(t *testing.T) {
	for _, ratio := range []float64{1.5, 3, 0.6, 34.0 / 22} {
		for _, size := range []image.Point{{1280, 800}, {1024, 640}, {960, 600}, {1366, 768}, {1920, 1080}, {2560, 1440}, {800, 480}, {700, 500}, {390, 844}, {390, 720}, {360, 640}, {1000, 700}, {1400, 900}, {3840, 1600}} {
			for k, scale := range []float64{1, 1.5, 2, 1} {
				w, h := int(float64(size.X)*scale), int(float64(size.Y)*scale)
				bar := k < 3
				p := NewPlan(w, h, scale, ratio, 7, bar)
				name := fmt.Sprintf("%d×%d, scale %g, ratio %.2f, bar %v", w, h, scale, ratio, bar)
				parts := map[string]image.Rectangle{
					"tank": p.Tank, "caption": p.Caption, "buttons": p.Buttons, "time line": p.Timeline, "time": p.Time,
					"status": p.Status,
					"title":  p.Title, "pages": p.Pages, "meters": p.Meters, "overlays": p.Overlays, "tools": p.Tools,
				}
				if bar {
					parts["bar"] = p.BarLabels
				} else if wider := p.Tank.Dx() - NewPlan(w, h, scale, ratio, 7, true).Tank.Dx(); !p.BarLabels.Empty() || size == image.Pt(390, 844) && ratio > 1 && wider < 80 {
					t.Errorf("%s: labels of the bar %v, the tank wider by %d", name, p.BarLabels, wider)
				}
				for i, s := range p.Sliders {
					parts[fmt.Sprintf("slider %d", i)] = s
				}
				if !p.Reading.Empty() {
					parts["reading"] = p.Reading
				}
				upright := size.Y > size.X
				if !p.Power.Empty() {
					parts["power"], parts["heat"] = p.Power, p.Heat
				}
				if w, h := float64(w)/scale, float64(h)/scale; w >= LeastWidth && h >= LeastHeight && p.Scale != scale {
					t.Errorf("%s: letters are drawn at %.2f of their size", name, p.Scale/scale)
				}
				if !p.Tools.In(p.Page) {
					t.Errorf("%s: the tools %v are not on the page %v", name, p.Tools, p.Page)
				}
				for a, r := range parts {
					if r.Dx() < 1 || r.Dy() < 1 || !r.In(p.Window) {
						t.Errorf("%s: %s is %v", name, a, r)
					}
					for b, s := range parts {
						if a < b && r.Overlaps(s) {
							t.Errorf("%s: %s %v overlaps %s %v", name, a, r, b, s)
						}
					}
				}
				if !p.Bar.In(p.BarLabels) {
					t.Errorf("%s: the bar %v is not within %v", name, p.Bar, p.BarLabels)
				}
				if got := float64(p.Tank.Dx()) / float64(p.Tank.Dy()); got/ratio > 1.03 || got/ratio < 0.97 {
					t.Errorf("%s: the tank is %.2f times as wide as high, want %.2f", name, got, ratio)
				}
				if area := float64(p.Tank.Dx()*p.Tank.Dy()) / float64(w*h); ratio == 1.5 && (area < 0.2 && !upright || area < 0.1 || area < 0.33 && float64(w)/scale >= 960) {
					t.Errorf("%s: the tank takes only %.0f %% of the window", name, 100*area)
				}
				if p.Timeline.Dx() < int(150*p.Scale) || !upright && p.Reading.Dx() < int(240*p.Scale) {
					t.Errorf("%s: time line %v, reading %v are too narrow", name, p.Timeline, p.Reading)
				}
			}
		}
	}
}
