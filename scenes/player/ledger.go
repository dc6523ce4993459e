package player

import (
	"lodegrid/array/drive"
	"lodegrid/array/heat"
	"lodegrid/scenes"
)

// Entry is what one frame costs and where it fails.
type Entry struct {
	Frame    int     // index in the scene
	Start    float64 // s since the scene began
	Duration float64 // s

	SupplyPower float64 // W, average over the frame, drawn from all rails
	// W, at the worst instant of the frame's PWM. Start times are looked for longest in frames
	// that may draw more than all before them: the greatest is as low as it can be made, that
	// of the others is some two per cent above that, ten at worst.
	SupplyPeakPower float64
	// Of the main rail: the supply's, or in mode scan the boosted one if there is one.
	SupplyCurrent     float64 // A, average
	SupplyRMSCurrent  float64 // A
	SupplyPeakCurrent float64 // A
	// Of a kick rail of its own, in mode kick.
	KickCurrent     float64 // A, average
	KickRMSCurrent  float64 // A
	KickPeakCurrent float64 // A

	CoilHeat   float64 // W, average over the frame, in all coils
	SwitchHeat float64 // W, in all switches
	DiodeHeat  float64 // W, in all diodes

	Hottest      float64 // K, hottest coil at the frame's end
	HottestPixel int     // its index
	// Behind is the hottest spot just behind the front and the back at the frame's end, K, and
	// Touch the hottest touchable surface then.
	Behind [2]float64
	Touch  float64

	LeastHold          float64 // least hold ratio of a lit pixel; +Inf without one
	LeastHoldPixel     int     // −1 without one
	GreatestFalseOn    float64 // greatest hold ratio of a dark pixel
	GreatestFalsePixel int     // −1 without one
	// CrosstalkMargin is the dark pixels' limit less the greatest dark hold ratio;
	// negative when a dark pixel keeps a drop.
	CrosstalkMargin float64

	Failing []int // lit pixels whose hold ratio is under the limit
	FalseOn []int // dark pixels whose hold ratio is over the limit
	Lit     int   // number of lit pixels
}

// Ledger is the record of a played scene.
type Ledger struct {
	Scene   string
	Entries []Entry
	// PixelPeak is the highest temperature that each coil's hottest turn reached, K.
	PixelPeak []float64
	// PixelMean is the time average of each coil's mean temperature, K.
	PixelMean []float64
	// PixelEnergy is the energy each coil turned into heat, J.
	PixelEnergy []float64
	// PixelOverTouch is how long a surface over each pixel was hotter than the touch
	// limit at the frames' ends, s.
	PixelOverTouch []float64
	// Balance is where the coils' heat went.
	Balance heat.Balance
}

func newLedger(pixels int) Ledger {
	return Ledger{
		PixelPeak: make([]float64, pixels), PixelMean: make([]float64, pixels),
		PixelEnergy: make([]float64, pixels), PixelOverTouch: make([]float64, pixels),
	}
}

// Summary is the scene as a whole.
type Summary struct {
	Duration        float64 // s
	AveragePower    float64 // W
	RMSPower        float64 // W, over frames
	PeakFramePower  float64 // W, of the frame that draws most's average
	PeakFrame       int
	PeakPower       float64 // W, at the worst instant
	PeakPowerFrame  int
	AverageCurrent  float64 // A
	PeakCurrent     float64 // A
	Hottest         float64 // K
	HottestPixel    int
	HottestFrame    int
	Touch           float64    // K, hottest touchable surface
	Behind          [2]float64 // K, hottest spots just behind front and back
	LeastHold       float64
	LeastHoldPixel  int
	LeastHoldFrame  int
	FailingFrames   int // frames with a failing lit pixel
	FailingPixels   int // lit pixels failing, summed over frames
	FalseOnFrames   int
	FalseOnPixels   int
	GreatestFalseOn float64
	FalseOnPixel    int
	FalseOnFrame    int
	LitPixels       int // lit pixels summed over frames
	MostLit         int // most pixels lit in one frame
	MostLitFrame    int
	CrosstalkMargin float64
}

// add appends an entry for each of a run's frames, which e tells of as one, accounts every
// pixel and returns the entries. From the entry before, their temperatures go straight to
// those of e.
func (l *Ledger) add(e Entry, run []scenes.Frame, pixels []drive.PixelState, coils, turns []float64, over func(pixel int) bool) []Entry {
	before := 0.0
	if n := len(l.Entries); n > 0 {
		before = l.Entries[n-1].Start + l.Entries[n-1].Duration
	}
	total := before + e.Duration
	for i, t := range coils {
		l.PixelPeak[i] = max(l.PixelPeak[i], turns[i])
		l.PixelMean[i] += (t - l.PixelMean[i]) * e.Duration / total
		l.PixelEnergy[i] += pixels[i].Copper * e.Duration
		if over(i) {
			l.PixelOverTouch[i] += e.Duration
		}
	}
	from, lasts, at := e, e.Duration, 0.0
	if n := len(l.Entries); n > 0 {
		from = l.Entries[n-1]
	}
	hottest, touch := e.Hottest, e.Touch
	for _, f := range run {
		at += f.Duration
		e.Duration = f.Duration
		e.Hottest = hottest + (from.Hottest-hottest)*(1-at/lasts)
		e.Touch = touch + (from.Touch-touch)*(1-at/lasts)
		l.Entries = append(l.Entries, e)
		e.Frame++
		e.Start += f.Duration
	}
	return l.Entries[len(l.Entries)-len(run):]
}
