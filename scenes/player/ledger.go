package player

import "lodegrid/array/drive"

// Entry is what one frame costs and where it fails.
type Entry struct {
	Frame    int     // index in the scene
	Start    float64 // s since the scene began
	Duration float64 // s

	SupplyPower       float64 // W, average over the frame, drawn from the rail
	SupplyPeakPower   float64 // W, at the worst instant of the frame's PWM
	SupplyCurrent     float64 // A, average
	SupplyRMSCurrent  float64 // A
	SupplyPeakCurrent float64 // A

	Hottest      float64 // K, hottest coil at the frame's end
	HottestPixel int     // its index
	Touch        float64 // K, hottest touchable surface at the frame's end

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
	// PixelPeak is the highest temperature each coil reached, K.
	PixelPeak []float64
	// PixelMean is the time average of each coil's temperature, K.
	PixelMean []float64
	// PixelEnergy is the energy each coil turned into heat, J.
	PixelEnergy []float64
}

// Summary is the scene as a whole.
type Summary struct {
	Duration        float64 // s
	AveragePower    float64 // W
	RMSPower        float64 // W, over frames
	PeakFramePower  float64 // W, of the hungriest frame's average
	PeakFrame       int
	PeakPower       float64 // W, at the worst instant
	PeakPowerFrame  int
	AverageCurrent  float64 // A
	PeakCurrent     float64 // A
	Hottest         float64 // K
	HottestPixel    int
	HottestFrame    int
	Touch           float64 // K, hottest touchable surface
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
	CrosstalkMargin float64
}

// add appends an entry and accounts every pixel.
func (l *Ledger) add(e Entry, pixels []drive.PixelState, coils []float64) {
	before := 0.0
	if n := len(l.Entries); n > 0 {
		before = l.Entries[n-1].Start + l.Entries[n-1].Duration
	}
	total := before + e.Duration
	for i, t := range coils {
		l.PixelPeak[i] = max(l.PixelPeak[i], t)
		l.PixelMean[i] += (t - l.PixelMean[i]) * e.Duration / total
		l.PixelEnergy[i] += pixels[i].Copper * e.Duration
	}
	l.Entries = append(l.Entries, e)
}
