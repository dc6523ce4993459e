package render

import (
	"image"
	"image/color"
	"math"
	"testing"

	"lodegrid/array/design/trial"
)

func sheetOf(moments []Moment, length float64) *Contact {
	img := image.NewRGBA(image.Rect(0, 0, 200, 140))
	c := NewContact(image.Rect(0, 0, 200, 120), length)
	for _, m := range moments {
		c.Add(img, m)
	}
	return c
}

func TestContactPicksEvenAndWorst(t *testing.T) {
	var moments []Moment
	for i := range 600 {
		at := float64(i+1) / 10
		moments = append(moments, Moment{At: at, Power: 10, Hottest: 300, Lit: 5, Reached: 5, Full: 1})
	}
	moments[77].Power = 20
	moments[333].Hottest = 350
	moments[444].Full = 0.2
	c := sheetOf(moments, 60)
	list := c.stills()
	if len(list) != contactEven+worsts {
		t.Fatalf("%d pictures, want %d", len(list), contactEven+worsts)
	}
	found := map[string]float64{}
	for i, s := range list {
		if i > 0 && s.At <= list[i-1].At {
			t.Errorf("picture %d at %g s after %g s", i, s.At, list[i-1].At)
		}
		for _, w := range s.why {
			found[w] = s.At
		}
	}
	for why, at := range map[string]float64{"draws most": 7.8, "hottest": 33.4, "fluid farthest behind": 44.5} {
		if math.Abs(found[why]-at) > 1e-9 {
			t.Errorf("%s at %g s, want %g", why, found[why], at)
		}
	}
	if first, last := list[0].At, list[len(list)-1].At; first > 0.1 || math.Abs(last-60) > 0.11 {
		t.Errorf("from %g to %g s, want all of 0…60", first, last)
	}
	sheet := c.Sheet("t")
	if want := contactPad + 4*(contactWidth+contactPad); sheet.Rect.Dx() != want {
		t.Errorf("sheet %d wide, want %d", sheet.Rect.Dx(), want)
	}
}

func TestContactOfFewPictures(t *testing.T) {
	for n := range 5 {
		var moments []Moment
		for i := range n {
			moments = append(moments, Moment{At: float64(i + 1), Power: float64(i)})
		}
		c := sheetOf(moments, float64(n))
		if list := c.stills(); len(list) > n || n > 0 && len(list) == 0 {
			t.Errorf("%d pictures of a film of %d", len(list), n)
		}
		if s := c.Sheet("t"); s.Rect.Empty() {
			t.Errorf("empty sheet of a film of %d", n)
		}
	}
	// Without a lit pixel nothing lags behind.
	for _, s := range sheetOf([]Moment{{At: 1}, {At: 2}}, 2).stills() {
		for _, w := range s.why {
			if w == worstNames[laggingMoment] {
				t.Error("a dark picture was called the one with the fluid farthest behind")
			}
		}
	}
}

// Bars are shares of what the supply gives and of the way from the air to the board's limit; what
// is beyond is in the colour of warnings.
func TestContactBars(t *testing.T) {
	d := trial.Lit() // 18 W, of which 80 % are used
	at := func(share float64) Moment {
		return Moment{Power: 14.4 * share, Hottest: d.Heat.Ambient + share*(d.Limits.Board-d.Heat.Ambient)}
	}
	first, second := at(0.25), at(1.25)
	second.At = 1
	c := sheetOf([]Moment{first, second}, 2)
	c.Bars(d, nil)
	for _, share := range []float64{0.25, 1.25} {
		for k, got := range c.bars(at(share), 1) {
			if math.Abs(got-share) > 1e-9 {
				t.Errorf("bar %d is %g, want %g", k, got, share)
			}
		}
	}
	img := c.Sheet("s")
	y := contactHead + contactWidth*120/200 + 6
	for k, want := range []color.RGBA{lineColors[0], warning} {
		if got := img.RGBAAt(contactPad+k*(contactWidth+contactPad)+2, y); got != want {
			t.Errorf("picture %d has a bar of %v, want %v", k+1, got, want)
		}
	}
	d.Supply.Power = 0
	c.Bars(d, nil)
	if got := c.bars(at(0.25), 7.2)[0]; math.Abs(got-0.5) > 1e-9 {
		t.Errorf("half the sheet's greatest power is a bar of %g", got)
	}
}
