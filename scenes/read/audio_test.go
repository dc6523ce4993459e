package read

import (
	"bytes"
	"context"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// numberLines reads lines of numbers, passing over comments and leading words.
func numberLines(t *testing.T, file string, words int) (heads [][]string, rows [][]float64) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(samples, file))
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		fields := strings.Fields(line)
		heads = append(heads, fields[:words])
		var row []float64
		for _, f := range fields[words:] {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatal(err)
			}
			row = append(row, v)
		}
		rows = append(rows, row)
	}
	return heads, rows
}

// TestWindowsAgainstSciPy: testdata/scenes/make_sound.py gives the origin.
func TestWindowsAgainstSciPy(t *testing.T) {
	heads, rows := numberLines(t, "windows.txt", 2)
	if len(rows) != 2*len(WindowNames()) {
		t.Fatalf("%d reference windows, want two each of %v", len(rows), WindowNames())
	}
	worst := 0.0
	for i, row := range rows {
		n, err := strconv.Atoi(heads[i][1])
		if err != nil || n != len(row) {
			t.Fatalf("%v: %d values", heads[i], len(row))
		}
		got, err := WindowName(heads[i][0]).values(n)
		if err != nil {
			t.Fatal(err)
		}
		for k := range row {
			worst = math.Max(worst, math.Abs(got[k]-row[k]))
		}
	}
	t.Logf("greatest difference %.1e", worst)
	if worst > 1e-14 {
		t.Errorf("windows differ from SciPy's by %g", worst)
	}
	if _, err := WindowName("kaiser").values(4); err == nil || !strings.Contains(err.Error(), `window "kaiser": want one of rectangular, hann`) {
		t.Errorf("unknown window: error %v", err)
	}
}

func openSample(t *testing.T) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(samples, "sines24.wav"))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// TestBandsAgainstSciPy reads the 24-bit sample and compares the level of every
// bar in every frame with the power SciPy's periodogram finds.
func TestBandsAgainstSciPy(t *testing.T) {
	_, want := numberLines(t, "sines24.wav.txt", 0)
	o := DefaultOptions()
	o.FrameTime = 0.02
	o.Audio = Audio{Style: Bars, Window: "hann", WindowTime: 0.05, Low: 50, High: 10e3, Floor: -120, Top: 0} // High is cut to 4 kHz
	const rows = 20
	s, err := WAV(context.Background(), bytes.NewReader(openSample(t)), "sines24.wav", rows, 16, o)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Frames) != len(want) || math.Abs(s.Duration()-0.4) > 1e-12 {
		t.Fatalf("%d frames of together %g s, want %d of 0.4 s", len(s.Frames), s.Duration(), len(want))
	}
	worst := 0.0
	for i, f := range s.Frames {
		for b, p := range want[i] {
			level := math.Min(1, math.Max(0, (10*math.Log10(2*p)+120)/120))
			var bar float64
			for row := range rows {
				bar += f.Levels[row*16+b] / rows
			}
			worst = math.Max(worst, math.Abs(bar-level))
			if math.Abs(bar-level) > 1e-9 {
				t.Fatalf("frame %d, band %d: bar %g, want %g", i, b, bar, level)
			}
		}
	}
	t.Logf("greatest difference of a bar's level %.1e", worst)
}

// TestThreeSines: the sample's sines of 200, 900 and 2500 Hz stand in their bands
// with the decibels of their amplitudes ½, ¼ and 1/10, and nowhere else.
func TestThreeSines(t *testing.T) {
	w, err := openWAV(bytes.NewReader(openSample(t)))
	if err != nil {
		t.Fatal(err)
	}
	const n = 1600 // the half with sound
	x := make([]float64, n)
	if got, err := w.read(x); got != n || err != nil {
		t.Fatalf("read %d samples, %v", got, err)
	}
	meter, err := newSpectrum(n, w.rate, "blackman-harris", []float64{100, 150, 250, 800, 1000, 2300, 2700, 4000})
	if err != nil {
		t.Fatal(err)
	}
	power := make([]float64, 7)
	meter.bands(power, x)
	for b, want := range []float64{math.Inf(-1), 20 * math.Log10(0.5), math.Inf(-1), 20 * math.Log10(0.25), math.Inf(-1), -20, math.Inf(-1)} {
		got := 10 * math.Log10(2*power[b])
		if math.IsInf(want, -1) && got > -85 || !math.IsInf(want, -1) && math.Abs(got-want) > 0.01 {
			t.Errorf("band %d: %.3f dB, want %.3f", b, got, want)
		}
	}
	// Parseval: all bands together hold the mean square of the windowed sound.
	meter, err = newSpectrum(n, w.rate, "hann", []float64{1e-9, 123.4, 777.7, 4000 + 100})
	if err != nil {
		t.Fatal(err)
	}
	power = power[:3]
	meter.bands(power, x)
	var mean, square float64
	for i, v := range x {
		mean += v * v * meter.window[i] * meter.window[i]
		square += meter.window[i] * meter.window[i]
	}
	// The half bin below 0 Hz is no one's; the window's leak there is small.
	if got := power[0] + power[1] + power[2]; math.Abs(got-mean/square) > 1e-6 {
		t.Errorf("the bands hold %g, the sound %g", got, mean/square)
	}
	if a := testing.AllocsPerRun(5, func() { meter.bands(power, x) }); a != 0 {
		t.Errorf("%g allocations per frame", a)
	}
}

// wavFile builds a WAV of the given format around raw sample bytes.
func wavFile(tag, channels, rate, bits int, data []byte) []byte {
	var b []byte
	b = append(b, "RIFF\x00\x00\x00\x00WAVEfmt "...)
	b = binary.LittleEndian.AppendUint32(b, 16)
	b = binary.LittleEndian.AppendUint16(b, uint16(tag))
	b = binary.LittleEndian.AppendUint16(b, uint16(channels))
	b = binary.LittleEndian.AppendUint32(b, uint32(rate))
	b = binary.LittleEndian.AppendUint32(b, uint32(rate*channels*bits/8))
	b = binary.LittleEndian.AppendUint16(b, uint16(channels*bits/8))
	b = binary.LittleEndian.AppendUint16(b, uint16(bits))
	b = append(b, "LIST\x03\x00\x00\x00abc\x00"...) // a foreign chunk, padded
	b = append(b, "data"...)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(data)))
	b = append(b, data...)
	if len(data)%2 == 1 {
		b = append(b, 0)
	}
	binary.LittleEndian.PutUint32(b[4:], uint32(len(b)-8))
	return b
}

// pcm writes one value in every supported width.
func pcm(v float64, bits int) []byte {
	if bits == 8 {
		return []byte{byte(math.Round(v*127) + 128)}
	}
	q := int64(math.Round(v * float64(int64(1)<<(bits-1)-1)))
	b := binary.LittleEndian.AppendUint64(nil, uint64(q))
	return b[:bits/8]
}

// TestWAVWidths reads the same sound in every width.
func TestWAVWidths(t *testing.T) {
	for bits, tolerance := range map[int]float64{8: 1.0 / 100, 16: 1.0 / 30000, 24: 1e-6, 32: 1e-9} {
		var data []byte
		want := []float64{0, 1, -1, 0.5, -0.25, 0.001}
		for _, v := range want {
			data = append(data, pcm(v, bits)...)
		}
		w, err := openWAV(bytes.NewReader(wavFile(1, 1, 8000, bits, data)))
		if err != nil {
			t.Fatalf("%d bits: %v", bits, err)
		}
		got := make([]float64, 10)
		n, err := w.read(got)
		if n != len(want) || err == nil {
			t.Fatalf("%d bits: %d samples, %v", bits, n, err)
		}
		for i, v := range want {
			if math.Abs(got[i]-v) > tolerance {
				t.Errorf("%d bits: sample %d is %g, want %g", bits, i, got[i], v)
			}
		}
	}
	// The extensible form.
	plain := wavFile(1, 1, 8000, 16, []byte{0, 0x40, 0, 0xC0})
	var ext []byte
	ext = append(ext, plain[:16]...)
	ext = binary.LittleEndian.AppendUint32(ext, 40)
	ext = append(ext, 0xFE, 0xFF)
	ext = append(ext, plain[22:36]...)
	ext = append(ext, 22, 0, 16, 0, 4, 0, 0, 0, 1, 0)
	ext = append(ext, wavSubtype...)
	ext = append(ext, plain[36:]...)
	binary.LittleEndian.PutUint32(ext[4:], uint32(len(ext)-8))
	w, err := openWAV(bytes.NewReader(ext))
	if err != nil {
		t.Fatal(err)
	}
	got := make([]float64, 2)
	if n, err := w.read(got); n != 2 || err != nil || got[0] != 0.5 || got[1] != -0.5 {
		t.Errorf("extensible: %d samples %v, %v", n, got, err)
	}
}

func TestWAVErrors(t *testing.T) {
	tone := make([]byte, 2*8000)
	for i := range 8000 {
		copy(tone[2*i:], pcm(0.5*math.Sin(float64(i)), 16))
	}
	good := wavFile(1, 1, 8000, 16, tone)
	with := func(at int, b ...byte) []byte {
		c := append([]byte(nil), good...)
		copy(c[at:], b)
		return c
	}
	for name, test := range map[string]struct {
		data []byte
		want string
	}{
		"empty":          {nil, "WAV header"},
		"not RIFF":       {[]byte("hello, world, hello"), "WAV header"},
		"other form":     {with(8, 'A', 'V', 'I', ' '), `form "AVI ", want "WAVE"`},
		"float":          {wavFile(3, 1, 8000, 32, tone), "32-bit floating point: want integer PCM"},
		"compressed":     {wavFile(2, 1, 8000, 16, tone), "format 0x0002, compressed"},
		"12 bits":        {with(34, 12), "samples of 12 bits: want 8, 16, 24 or 32"},
		"no channels":    {wavFile(1, 0, 8000, 16, tone), "0 channels"},
		"rate":           {wavFile(1, 1, 10, 16, tone), "sample rate 10 Hz: want 1000"},
		"block":          {with(32, 3), "3 bytes for 1 samples of 16 bits: want 2"},
		"no data":        {wavFile(1, 1, 8000, 16, nil), "holds no sound"},
		"cut off":        {good[:len(good)/2], "s of 1 s of sound: cut off"},
		"size too small": {with(4, 100, 0, 0, 0), "WAV chunks"},
		"piped":          {with(52, 255, 255, 255, 255), "written to a pipe"},
		"no format":      {append([]byte("RIFF\x10\x00\x00\x00WAVEdata\x04\x00\x00\x00"), 0, 0, 0, 0), "data chunk comes before"},
		"nothing":        {[]byte("RIFF\x04\x00\x00\x00WAVE"), "without a format chunk"},
		"short format":   {append([]byte("RIFF\x0e\x00\x00\x00WAVEfmt \x02\x00\x00\x00"), 1, 0), "format chunk of 2 bytes"},
	} {
		_, err := WAV(context.Background(), bytes.NewReader(test.data), "x.wav", 4, 4, DefaultOptions())
		if err == nil || !strings.Contains(err.Error(), test.want) || !strings.HasPrefix(err.Error(), "x.wav: ") {
			t.Errorf("%s: error %v, want it to say %q", name, err, test.want)
		}
	}
	for want, change := range map[string]func(o *Options){
		`audio style "waves": want "bars" or "pulse"`: func(o *Options) { o.Audio.Style = "waves" },
		`audio window "": want one of rectangular`:    func(o *Options) { o.Audio.Window = "" },
		"audio window of 0 s":                         func(o *Options) { o.Audio.WindowTime = 0 },
		"audio band 100…50 Hz":                        func(o *Options) { o.Audio.Low, o.Audio.High = 100, 50 },
		"audio band from 5000 Hz: the sound, 8000 samples per second, reaches up to 4000 Hz": func(o *Options) { o.Audio.Low = 5000 },
		"audio scale from 0 to 0 dB: want":                                                   func(o *Options) { o.Audio.Floor = 0 },
		"audio attack in s -1: want 0…60":                                                    func(o *Options) { o.Audio.Attack = -1 },
		"audio decay in s NaN: want 0…60":                                                    func(o *Options) { o.Audio.Decay = math.NaN() },
		"a frame time of 4000 s for sound":                                                   func(o *Options) { o.FrameTime = 4000 },
		"after 0.5 s of sound: 11 frames":                                                    func(o *Options) { o.Limits.Frames = 10 },
		"larger than the limit of 100 bytes":                                                 func(o *Options) { o.Limits.Bytes = 100 },
	} {
		o := DefaultOptions()
		change(&o)
		if _, err := WAV(context.Background(), bytes.NewReader(good), "x.wav", 4, 4, o); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want it to say %q", err, want)
		}
	}
}

// TestAttackAndDecay: a burst rises and falls with the time constants.
// The longest window at the highest rate would take half a gigabyte.
func TestAudioWindowTooLarge(t *testing.T) {
	o := DefaultOptions()
	o.Audio.WindowTime = 10
	_, err := WAV(context.Background(), bytes.NewReader(wavFile(1, 1, 1_000_000, 16, make([]byte, 64))), "x.wav", 1, 1, o)
	if err == nil || !strings.Contains(err.Error(), "an audio window of 10 s is 10000000 samples at 1000000 Hz, the limit is 2000000") {
		t.Error(err)
	}
}

func TestAttackAndDecay(t *testing.T) {
	const rate = 8000
	var data []byte
	for i := range 3 * rate {
		v := 0.0
		if i < rate {
			v = math.Sin(2 * math.Pi * 1000 * float64(i) / rate) // full scale: level 1
		}
		data = append(data, pcm(v, 16)...)
	}
	o := DefaultOptions()
	o.FrameTime = 0.01
	o.Audio = Audio{Style: Bars, Window: "hann", WindowTime: 0.02, Low: 500, High: 2000, Floor: -60, Top: 0, Attack: 0.2, Decay: 0.5}
	s, err := WAV(context.Background(), bytes.NewReader(wavFile(1, 1, rate, 16, data)), "x.wav", 1, 1, o)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Frames) != 300 {
		t.Fatalf("%d frames, want 300", len(s.Frames))
	}
	for _, test := range []struct {
		frame int
		want  float64
	}{
		{19, 1 - math.Exp(-1)}, // 20 frames of 10 ms = one time constant
		{99, 1 - math.Exp(-5)},
		{151, (1 - math.Exp(-5)) * math.Exp(-1)}, // 50 frames after the window leaves the burst
	} {
		// The first window is half outside the sound, the last ones leave it
		// gradually: half a frame's worth of doubt.
		if got := s.Frames[test.frame].Levels[0]; math.Abs(got-test.want) > 0.02 {
			t.Errorf("frame %d: level %.4f, want %.4f", test.frame, got, test.want)
		}
	}
}

// TestPulse: silence lights nothing, full scale lights all.
func TestPulse(t *testing.T) {
	levels := make([]float64, 35)
	for _, test := range []struct{ level, lit float64 }{{0, 0}, {1, 35}} {
		discPicture(levels, 5, 7, []float64{test.level})
		var lit float64
		for _, v := range levels {
			lit += v
		}
		if lit != test.lit {
			t.Errorf("level %g lights %g pixels, want %g", test.level, lit, test.lit)
		}
	}
	discPicture(levels, 5, 7, []float64{0.5})
	for p, v := range levels { // the same in all four quarters
		if v != levels[34-p] || v != levels[p/7*7+6-p%7] {
			t.Errorf("the disc is uneven at pixel %d", p)
		}
	}
	o := DefaultOptions()
	o.FrameTime, o.Audio.Style, o.Audio.Attack, o.Audio.Decay = 0.02, Pulse, 0, 0
	s, err := WAV(context.Background(), bytes.NewReader(openSample(t)), "x.wav", 9, 9, o)
	if err != nil {
		t.Fatal(err)
	}
	if loud, quiet := s.Frames[5].Levels[40], s.Frames[len(s.Frames)-1].Levels[40]; loud != 1 || quiet != 0 {
		t.Errorf("centre pixel at %g in the sound and %g in the silence", loud, quiet)
	}
}

// TestSlidingWindow: whatever the hop, the window holds the sound from its start.
func TestSlidingWindow(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	var data []byte
	x := make([]float64, 1000)
	for i := range x {
		x[i] = float64(i%256-128) / 128
		data = append(data, byte(i%256))
	}
	for range 50 {
		w, err := openWAV(bytes.NewReader(wavFile(1, 1, 8000, 8, data)))
		if err != nil {
			t.Fatal(err)
		}
		n := 1 + rng.IntN(60)
		in := slidingWindow{w: w, samples: make([]float64, n), start: -int64(n)}
		for start := -n / 2; start < 1100; start += rng.IntN(200) {
			if err := in.moveTo(int64(start)); err != nil {
				t.Fatal(err)
			}
			for k, v := range in.samples {
				want := 0.0
				if i := start + k; i >= 0 && i < len(x) {
					want = x[i]
				}
				if v != want {
					t.Fatalf("window of %d at %d: sample %d is %g, want %g", n, start, k, v, want)
				}
			}
		}
		if err := in.moveTo(2000); err != nil {
			t.Fatal(err)
		}
		if in.read != 1000 || !in.ended {
			t.Errorf("read %d samples, ended %v", in.read, in.ended)
		}
	}
}

func FuzzWAV(f *testing.F) {
	data, err := os.ReadFile(filepath.Join(samples, "sines24.wav"))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data[:2000])
	for _, bits := range []int{8, 16, 24, 32} {
		f.Add(wavFile(1, 2, 8000, bits, bytes.Repeat(pcm(0.3, bits), 500)))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		o := fuzzOptions()
		o.Audio.WindowTime = 0.005
		s, err := WAV(context.Background(), bytes.NewReader(data), "fuzz.wav", 3, 3, o)
		if err != nil {
			return
		}
		if err := s.Validate(); err != nil {
			t.Errorf("accepted an invalid scene: %v", err)
		}
	})
}
