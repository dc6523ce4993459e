package read

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"

	"lodegrid/array/extent"
	"lodegrid/scenes"
)

// AudioStyle names how sound is shown.
type AudioStyle string

// The styles.
const (
	Bars  AudioStyle = "bars"  // a bar per column, each a band of frequencies, low ones at the left
	Pulse AudioStyle = "pulse" // a disc about the centre that grows with the loudness of the whole band
)

// Audio says how sound becomes pictures. Every frame looks at WindowTime of sound
// around the frame's middle, with silence before the start and after the end. Its
// power in a band, in decibels relative to a sine at full scale, is put on a
// scale of 0…1 from Floor to Top, and then smoothed with the time constants
// Attack on the way up and Decay on the way down:
//
//	y ← y + (x − y)·(1 − exp(−FrameTime/τ))
type Audio struct {
	Style         AudioStyle
	Window        WindowName
	WindowTime    float64 // s; at most 10, and at least 16 samples; rounded up a little where that makes the transform quick
	Low, High     float64 // Hz, the limits of all bands, whose edges have equal ratios; High is cut to half the sample rate
	Floor, Top    float64 // dB relative to a full-scale sine, −200…20
	Attack, Decay float64 // s, 0…60; 0 follows at once
}

// DefaultAudio shows bars from 50 Hz to 10 kHz and −60 to 0 dB, looking at 50 ms
// through a Hann window.
func DefaultAudio() Audio {
	return Audio{
		Style: Bars, Window: "hann", WindowTime: 0.05,
		Low: 50, High: 10e3, Floor: -60, Top: 0,
		Attack: 0.02, Decay: 0.25,
	}
}

// Validate reports the first setting out of its range.
func (a Audio) Validate() error {
	if a.Style != Bars && a.Style != Pulse {
		return fmt.Errorf("audio style %q: want %q or %q", string(a.Style), string(Bars), string(Pulse))
	}
	if _, err := a.Window.values(1); err != nil {
		return fmt.Errorf("audio %w", err)
	}
	if !(a.WindowTime > 0 && a.WindowTime <= 10) {
		return fmt.Errorf("audio window of %g s: want more than 0, at most 10", a.WindowTime)
	}
	if !(a.Low > 0 && a.High > a.Low) || math.IsInf(a.High, 0) {
		return fmt.Errorf("audio band %g…%g Hz: want 0 < low < high", a.Low, a.High)
	}
	if !(a.Floor >= -200 && a.Top > a.Floor && a.Top <= 20) {
		return fmt.Errorf("audio scale from %g to %g dB: want −200 ≤ floor < top ≤ 20", a.Floor, a.Top)
	}
	for what, v := range map[string]float64{"attack": a.Attack, "decay": a.Decay} {
		if !(v >= 0 && v <= 60) {
			return fmt.Errorf("audio %s in s %g: want 0…60", what, v)
		}
	}
	return nil
}

// WAV reads a WAV file of integer PCM, 8, 16, 24 or 32 bits, any number of
// channels (their mean counts), and makes a frame of every o.FrameTime of it, in
// the way o.Audio says, mapped by o.Mapping. The last frame ends with the sound.
// A file that ends early is an error that says how much sound was read.
func WAV(ctx context.Context, r io.Reader, name string, rows, cols int, o Options) (scenes.Scene, error) {
	if err := o.Check(rows, cols); err != nil {
		return scenes.Scene{}, fmt.Errorf("reading sound %s: %w", name, err)
	}
	w, err := openWAV(o.Limits.Reader(ctx, r))
	if err != nil {
		return scenes.Scene{}, scenes.InputErrorf(name, "%w", err)
	}
	s, err := w.scene(ctx, rows, cols, o)
	if err != nil {
		return scenes.Scene{}, scenes.InputErrorf(name, "%w", err)
	}
	s.Name = name
	return s, nil
}

func (w *wavReader) scene(ctx context.Context, rows, cols int, o Options) (scenes.Scene, error) {
	a := o.Audio
	if o.FrameTime > 3600 {
		return scenes.Scene{}, fmt.Errorf("a frame time of %g s for sound: want at most 3600 s", o.FrameTime)
	}
	high := math.Min(a.High, float64(w.rate)/2)
	if a.Low >= high {
		return scenes.Scene{}, fmt.Errorf("audio band from %g Hz: the sound, %d samples per second, reaches up to %g Hz", a.Low, w.rate, float64(w.rate)/2)
	}
	bands := 1
	if a.Style == Bars {
		bands = cols
	}
	n := extent.Smooth(max(16, int(math.Ceil(a.WindowTime*float64(w.rate)-1e-6))))
	if n > maxWindow {
		return scenes.Scene{}, fmt.Errorf("an audio window of %g s is %d samples at %d Hz, the limit is %d: want a shorter window", a.WindowTime, n, w.rate, maxWindow)
	}
	meter, err := newSpectrum(n, w.rate, a.Window, spaced(a.Low, high, bands))
	if err != nil {
		return scenes.Scene{}, err
	}
	show := barPicture
	if a.Style == Pulse {
		show = discPicture
	}
	in := slidingWindow{w: w, samples: make([]float64, n), start: -int64(n)}
	power, level := make([]float64, bands), make([]float64, bands)
	attack, decay := follow(o.FrameTime, a.Attack), follow(o.FrameTime, a.Decay)
	s := scenes.Scene{Rows: rows, Cols: cols}
	perFrame := o.FrameTime * float64(w.rate)
	for {
		if err := ctx.Err(); err != nil {
			return scenes.Scene{}, fmt.Errorf("after %d frames: %w", len(s.Frames), err)
		}
		i := float64(len(s.Frames))
		if err := in.moveTo(int64(math.Round((i+0.5)*perFrame)) - int64(n/2)); err != nil {
			return scenes.Scene{}, fmt.Errorf("after %.3g s of sound: %w", float64(in.read)/float64(w.rate), err)
		}
		left := float64(in.read)/float64(w.rate) - i*o.FrameTime // sound from this frame's start, once the end is known
		if in.ended && left <= 1e-9 {
			break
		}
		if err := o.Limits.CheckFrames(len(s.Frames)+1, rows*cols); err != nil {
			return scenes.Scene{}, fmt.Errorf("after %.3g s of sound: %w", i*o.FrameTime, err)
		}
		meter.bands(power, in.samples)
		for b, p := range power {
			x := 0.0
			if p > 0 {
				x = math.Min(1, math.Max(0, (10*math.Log10(2*p)-a.Floor)/(a.Top-a.Floor)))
			}
			if x > level[b] {
				level[b] += (x - level[b]) * attack
			} else {
				level[b] += (x - level[b]) * decay
			}
		}
		f := scenes.Frame{Levels: make([]float64, rows*cols), Duration: o.FrameTime}
		if in.ended {
			f.Duration = math.Min(f.Duration, left)
		}
		show(f.Levels, rows, cols, level)
		o.Mapping.Map(f.Levels, f.Levels, cols)
		s.Frames = append(s.Frames, f)
	}
	if in.read < w.claimed {
		return scenes.Scene{}, fmt.Errorf("the WAV file ends early, after %.4g s of %.4g s of sound: cut off",
			float64(in.read)/float64(w.rate), float64(w.claimed)/float64(w.rate))
	}
	if len(s.Frames) == 0 {
		return scenes.Scene{}, errors.New("the WAV file holds no sound")
	}
	return s, s.ValidateWithin(o.Limits)
}

// maxWindow bounds the samples of a window: the transform holds about 60 bytes for each.
const maxWindow = 2_000_000

// follow returns the share of a step taken within dt by a first-order lag.
func follow(dt, tau float64) float64 {
	if tau == 0 {
		return 1
	}
	return -math.Expm1(-dt / tau)
}

// slidingWindow holds the samples from start on; those before the beginning and
// after the end of the sound are 0.
type slidingWindow struct {
	w       *wavReader
	samples []float64
	start   int64
	read    int64
	ended   bool
}

// moveTo moves the window forward; it never moves back.
func (s *slidingWindow) moveTo(start int64) error {
	n := int64(len(s.samples))
	shift := start - s.start
	for shift > n && !s.ended { // sound between two windows is read over
		step := min(n, shift-n)
		if err := s.fill(s.samples[:step]); err != nil {
			return err
		}
		shift -= step
	}
	shift = min(shift, n)
	copy(s.samples, s.samples[shift:])
	s.start = start
	return s.fill(s.samples[n-shift:])
}

func (s *slidingWindow) fill(dst []float64) error {
	n := 0
	if !s.ended {
		var err error
		n, err = s.w.read(dst)
		s.read += int64(n)
		if errors.Is(err, io.EOF) {
			s.ended = true
		} else if err != nil {
			return err
		}
	}
	clear(dst[n:])
	return nil
}

// barPicture fills every column from the bottom to its band's level; the pixel a
// bar ends in is as bright as its filled share.
func barPicture(dst []float64, rows, cols int, level []float64) {
	for p := range dst {
		row, col := p/cols, p%cols
		dst[p] = math.Min(1, math.Max(0, level[col]*float64(rows)-float64(rows-1-row)))
	}
}

// discPicture lights a disc about the grid's centre: none of it at level 0, the
// whole grid at level 1.
func discPicture(dst []float64, rows, cols int, level []float64) {
	y0, x0 := float64(rows-1)/2, float64(cols-1)/2
	radius := level[0] * (math.Hypot(x0, y0) + 1)
	for p := range dst {
		d := math.Hypot(float64(p%cols)-x0, float64(p/cols)-y0)
		dst[p] = math.Min(1, math.Max(0, radius-d))
	}
}
