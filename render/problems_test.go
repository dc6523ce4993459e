package render

import (
	"math"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/heat"
	"lodegrid/array/supply"
	"lodegrid/scenes/player"
)

// fine is a played scene that breaks nothing.
func fine() player.Summary {
	return player.Summary{Duration: 60, Hottest: 320, Touch: 310, LeastHold: 3, LeastHoldPixel: 4, PeakFramePower: 10, CrosstalkMargin: 0.4, FalseOnPixel: -1}
}

// onHand is a proposal whose supply on hand is loaded to a share of what it gives.
func onHand(load float64) *supply.Proposal {
	return &supply.Proposal{
		Power: supply.Figure{Value: 25}, Supplies: supply.Figure{Value: 1},
		Load: supply.Figure{Value: load}, Dimming: supply.Figure{Value: min(1, 0.9/load)},
	}
}

func TestProblems(t *testing.T) {
	demo := design.Demo() // board 130 °C, touch 51 °C, hold 1.2, 18 W at 80 %
	demo.Drive.MaxDuty = 0.13
	kick := demo
	kick.Drive.Mode, kick.Drive.HoldDuty = design.DriveKick, 0.26
	magnets := demo
	magnets.Magnet.Kind, magnets.Magnet.MaxTemp = design.MagnetPerPixel, 353
	roomy := player.Budget{HeatDuty: 1, HoldDuty: 0.05}
	tight := player.Budget{HeatDuty: 0.1157, HoldDuty: 0.1021}
	for _, c := range []struct {
		name string
		d    design.Design
		z    func(z *player.Summary)
		b    player.Budget
		p    *supply.Proposal
		keys string   // which limits, in order
		says []string // in the last problem
	}{
		{"nothing", demo, func(*player.Summary) {}, roomy, onHand(0.99), "", nil},
		{"nothing, no supply looked at", demo, func(*player.Summary) {}, roomy, nil, "", nil},
		{"just at the limits", demo, func(z *player.Summary) { z.Touch, z.Hottest = demo.Limits.Touch, demo.Limits.Board }, roomy, onHand(1), "", nil},
		{"touch", demo, func(z *player.Summary) { z.Touch = demo.Limits.Touch + 1 }, tight, nil, "limits.touch",
			[]string{"52.0 °C", "51.0 °C", "drive.max_duty of 11.5 % or less", "now 13 %"}}, // 11.57 % rounded down
		{"board", demo, func(z *player.Summary) { z.Hottest, z.HottestPixel = 410, 17 }, tight, nil, "limits.board",
			[]string{"136.9 °C", "row 2, column 2", "130.0 °C"}},
		{"board, and the drops need more", demo, func(z *player.Summary) { z.Hottest = 410 }, player.Budget{HeatDuty: 0.1, HoldDuty: 0.1021}, nil, "limits.board",
			[]string{"10 % or less", "the drops need 10.3 %"}}, // 10.21 % rounded up
		{"faster PWM helps", demo, func(z *player.Summary) { z.Touch = 400 }, player.Budget{HeatDuty: 0.1, Frequency: 63e3}, nil, "limits.touch",
			[]string{"drive.frequency of 63 kHz", "switching losses", "or drive.max_duty of 10 % or less"}},
		{"no duty helps", demo, func(z *player.Summary) { z.Touch = 400 }, player.Budget{}, nil, "limits.touch", []string{"no duty of use"}},
		{"kick", kick, func(z *player.Summary) { z.Touch = 400 }, player.Budget{HeatDuty: 0.065}, nil, "limits.touch",
			[]string{"drive.max_duty of 6.5 % with drive.hold_duty of 13 %"}}, // half of 13 % and of 26 %
		{"magnets", magnets, func(z *player.Summary) { z.Hottest = 354 }, tight, nil, "magnet.max_temp", []string{"80.9 °C", "79.9 °C"}},
		{"no magnets", demo, func(z *player.Summary) { z.Hottest = 354 }, tight, nil, "", nil},
		{"supply", demo, func(z *player.Summary) { z.PeakFrame = 51 }, tight, onHand(1.2), "supply.power",
			// 1.2 × 18 W × 80 % = 17.28 W; 13 % × 0.9/1.2 = 9.75 %, rounded down, under the 10.3 % needed
			[]string{"Frame 52", "17.28 W", "18 W", "14.4 W", "80 %", `supply.power = "25 W"`, "drive.max_duty of 9.7 %", "too little: the drops need 10.3 %"}},
		{"several supplies", demo, func(*player.Summary) {}, roomy, &supply.Proposal{Power: supply.Figure{Value: 1000}, Supplies: supply.Figure{Value: 3}, Load: supply.Figure{Value: 150}},
			"supply.power", []string{"3 supplies of 1 kW", `supply.power = "3000 W"`}},
		{"hold", demo, func(z *player.Summary) {
			z.FailingPixels, z.LitPixels, z.LeastHold, z.LeastHoldFrame = 2, 30, 1.1, 6
		}, tight, nil, "limits.hold", []string{"2 of 30", "1.1", "1.2", "frame 7", "row 1, column 5", "10.3 % or more"}},
		{"hold, too hot", demo, func(z *player.Summary) { z.FailingPixels = 2 }, player.Budget{HeatDuty: 0.1, HoldDuty: 0.2}, nil, "limits.hold", []string{"but heat allows 10 %"}},
		{"hold, never", demo, func(z *player.Summary) { z.FailingPixels = 2 }, player.Budget{HeatDuty: 0.1, HoldDuty: math.Inf(1)}, nil, "limits.hold", []string{"full duty is not enough"}},
		{"false on", demo, func(z *player.Summary) { z.FalseOnPixels, z.GreatestFalseOn, z.FalseOnPixel = 3, 0.7, 0 }, roomy, nil, "limits.false_on", []string{"3 times", "0.7", "0.5", "row 1, column 1"}},
		{"all at once", magnets, func(z *player.Summary) {
			z.Hottest, z.Touch, z.FailingPixels, z.FalseOnPixels = 500, 400, 1, 1
		}, tight, onHand(3), "limits.board limits.touch magnet.max_temp supply.power limits.hold limits.false_on", nil},
	} {
		z := fine()
		c.z(&z)
		list := Problems(c.d, z, c.b, c.p)
		if list == nil {
			t.Errorf("%s: a nil list would say that nothing was looked at", c.name)
		}
		var keys []string
		for _, p := range list {
			keys = append(keys, p.Key)
			if p.What == "" || p.Advice == "" || strings.Contains(p.What+p.Advice, "%!") || strings.Contains(p.What+p.Advice, "NaN") || strings.Contains(p.Advice, "Inf") {
				t.Errorf("%s: %+v", c.name, p)
			}
		}
		if got := strings.Join(keys, " "); got != c.keys {
			t.Errorf("%s: problems %q, want %q", c.name, got, c.keys)
			continue
		}
		for _, want := range c.says {
			if p := list[len(list)-1]; !strings.Contains(p.What+" "+p.Advice, want) {
				t.Errorf("%s: %q is missing in %q → %q", c.name, want, p.What, p.Advice)
			}
		}
	}
}

func TestRunawayProblem(t *testing.T) {
	d := design.Demo()
	p := RunawayProblem(d, &heat.RunawayError{Row: 3, Col: 6, Temperature: 950, Ceiling: 700, Steady: true}, player.Budget{HeatDuty: 0.0066})
	for _, want := range []string{"row 4, column 7", "676.9 °C", "426.9 °C", "drive.max_duty of 0.6 % or less"} {
		if !strings.Contains(p.What+p.Advice, want) {
			t.Errorf("%q is missing in %+v", want, p)
		}
	}
	if p = RunawayProblem(d, &heat.RunawayError{Steady: true, Ceiling: 700}, player.Budget{}); !strings.Contains(p.What, "without end") || !strings.Contains(p.Advice, "no duty") {
		t.Errorf("%+v", p)
	}
}

func TestIsThermal(t *testing.T) {
	for key, want := range map[string]bool{"limits.board": true, "limits.touch": true, "magnet.max_temp": true, "supply.power": false, "limits.hold": false} {
		if IsThermal(Problem{Key: key}) != want {
			t.Errorf("%s: thermal is %v", key, !want)
		}
	}
}

// Cautions are earned: burns from 43 °C on, the board within 20 K of its limit, magnets
// when there are any; the field and the disclaimer always.
func TestCautions(t *testing.T) {
	plain := smallDemo(t)
	biased := gridOf(t, design.Change{Key: "magnet.kind", Value: "pixel"})
	for _, c := range []struct {
		name   string
		z      player.Summary
		biased bool
		want   string
	}{
		{"cool", player.Summary{Touch: 273.15 + 42, Hottest: 320}, false, "field computed"},
		{"warm", player.Summary{Touch: 273.15 + 44, Hottest: 320}, false, "hot field computed"},
		{"board", player.Summary{Touch: 273.15 + 44, Hottest: plain.Design.Limits.Board - 19}, false, "hot board field computed"},
		{"over", player.Summary{Touch: 273.15 + 44, Hottest: plain.Design.Limits.Board + 1}, false, "hot over field computed"},
		{"magnets", player.Summary{Hottest: 320}, true, "field magnets computed"},
	} {
		g := plain
		if c.biased {
			g = biased
		}
		var got []string
		for _, text := range Cautions(g, c.z) {
			for word, mark := range map[string]string{"hot": "Hot surface", "board": "within 20 K", "over": "passes its limit", "field": "0.5 mT", "magnets": "magnets pinch", "computed": "not certified"} {
				if strings.Contains(text, mark) {
					got = append(got, word)
				}
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s: cautions %q, want %q", c.name, s, c.want)
		}
	}
	if list := HeatCautions(plain.Design, player.Summary{}); len(list) != 0 {
		t.Errorf("a cold display warns of heat: %q", list)
	}
}

// The stand-off of a single pixel with a magnet, against the dipole on its axis:
// B = µ0 m/(2π z³), so z = (µ0 m/(2π B))^⅓ with m of magnet and coil together.
func TestStandOffOfOnePixel(t *testing.T) {
	one := func(name, value string) design.Change { return design.Change{Key: name, Value: value} }
	g := gridOf(t, one("grid.cols", "1"), one("grid.rows", "1"), one("magnet.kind", "pixel"), one("magnet.diameter", "8 mm"),
		one("magnet.length", "5 mm"), one("magnet.remanence", "1.2 T"), one("magnet.depth", "0.5 mm"))
	const mu0 = 4e-7 * math.Pi
	// Remanence at the design's ambient, m = Br V/µ0.
	br := 1.2 * (1 + g.Design.Magnet.TempCoefficient*(g.Design.Heat.Ambient-293.15))
	m := br*math.Pi/4*8e-3*8e-3*5e-3/mu0 + math.Abs(g.Pixel.FullCurrent*g.Pixel.Coil.MagneticMoment())
	want := math.Cbrt(mu0 * m / (2 * math.Pi * 0.5e-3))
	got, near := standOff(g)
	if near || math.Abs(got-want) > 0.02*want {
		t.Errorf("stand-off %g m (near: %v), want %g m", got, near, want)
	}
	// Twelve such pixels side by side reach farther, but less far than if all stood in one.
	many := gridOf(t, one("magnet.kind", "pixel"), one("magnet.diameter", "8 mm"), one("magnet.length", "5 mm"), one("magnet.remanence", "1.2 T"), one("magnet.depth", "0.5 mm"))
	if far, _ := standOff(many); far <= got || far >= got*math.Cbrt(12) {
		t.Errorf("twelve pixels reach %g m, one %g m", far, got)
	}
	weak := gridOf(t, one("supply.voltage", "1 V"))
	if z, near := standOff(weak); z != 10e-3 || !near {
		t.Errorf("a weak display's stand-off is %g m, near: %v", z, near)
	}
}
