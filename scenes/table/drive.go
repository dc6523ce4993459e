package table

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
)

// Drive is how the firmware plays a binary table, and what it must not do meanwhile.
type Drive struct {
	Mode       design.DriveMode
	Reverses   bool    // a level below 0 reverses the current
	Frequency  float64 // Hz, of the pulse-width modulation
	MaxDuty    float64 // 0…1, at level ±1; in mode kick while it lasts
	HoldDuty   float64 // 0…1, after a kick, in its mode
	KickTime   float64 // s, of a kick with MaxDuty when a pixel comes on or reverses, in its mode
	ScanTime   float64 // s, of one pass over all rows, in its mode
	Turns      int     // in that pass, row r being on in turn r mod Turns; 0 outside it
	InSeries   int     // coils on an output, neighbours in a row that have one level; 0 as 1
	MostLit    int     // pixels at full level at once
	MostKicked int     // pixels kicked at once, in its mode
	LongestOn  float64 // s, that a pixel may be fully on without a pause; +Inf for ever
	Watchdog   float64 // s without a sign of life, after which the rail is off
}

// DriveOf is a design's drive; what it must not do is not known, so that nothing may be lit.
func DriveOf(d design.Design) Drive {
	out := Drive{Mode: d.Drive.Mode, Reverses: d.Drive.Bridge == design.BridgeFull, Frequency: d.Drive.Frequency, MaxDuty: d.Drive.MaxDuty,
		HoldDuty: d.Drive.HoldDuty, KickTime: d.Drive.KickTime, ScanTime: d.Drive.ScanTime, InSeries: d.Drive.InSeries}
	if d.Drive.Mode == design.DriveScan {
		out.Turns = d.Turns()
	}
	return out
}

// modes are in the order of their numbers in the file.
var modes = []design.DriveMode{design.DriveDirect, design.DriveStagger, design.DriveScan, design.DriveKick}

// unbounded stands in the file for a time without end.
const unbounded = math.MaxUint32

// append adds the drive's part of the header.
func (d Drive) append(b []byte) ([]byte, error) {
	mode := slices.Index(modes, d.Mode)
	if mode < 0 {
		return nil, fmt.Errorf("drive mode %q, want one of %q", d.Mode, modes)
	}
	reverses := uint16(0)
	if d.Reverses {
		reverses = 1
	}
	var err error
	whole := func(what string, v, unit, most float64) uint32 {
		if n := math.Round(v / unit); n >= 0 && n <= most {
			return uint32(n)
		}
		if err == nil {
			err = fmt.Errorf("%s of %g, want 0…%g", what, v, most*unit)
		}
		return 0
	}
	kick, scan := 0.0, 0.0
	switch d.Mode {
	case design.DriveKick:
		kick = d.KickTime
	case design.DriveScan:
		scan = d.ScanTime
	}
	on := uint32(unbounded)
	if !math.IsInf(d.LongestOn, 1) {
		on = whole("longest time fully on, s,", math.Floor(d.LongestOn*1e6)*1e-6, 1e-6, unbounded-1)
	}
	b = binary.LittleEndian.AppendUint16(b, uint16(mode))
	b = binary.LittleEndian.AppendUint16(b, reverses)
	b = binary.LittleEndian.AppendUint32(b, whole("PWM period, s,", 1/d.Frequency, 1e-9, unbounded))
	b = binary.LittleEndian.AppendUint16(b, uint16(whole("duty", d.MaxDuty, 1.0/math.MaxUint16, math.MaxUint16)))
	b = binary.LittleEndian.AppendUint16(b, uint16(whole("hold duty", d.HoldDuty, 1.0/math.MaxUint16, math.MaxUint16)))
	b = binary.LittleEndian.AppendUint32(b, whole("kick, s,", kick, 1e-6, unbounded))
	b = binary.LittleEndian.AppendUint32(b, whole("scan, s,", scan, 1e-6, unbounded))
	b = binary.LittleEndian.AppendUint32(b, whole("pixels lit at once", float64(d.MostLit), 1, unbounded))
	b = binary.LittleEndian.AppendUint32(b, on)
	b = binary.LittleEndian.AppendUint32(b, whole("watchdog, s,", math.Floor(d.Watchdog*1e6)*1e-6, 1e-6, unbounded))
	b = binary.LittleEndian.AppendUint32(b, whole("pixels kicked at once", float64(d.MostKicked), 1, unbounded))
	b = binary.LittleEndian.AppendUint32(b, whole("turns of a scan", float64(d.Turns), 1, unbounded))
	return binary.LittleEndian.AppendUint32(b, whole("coils in series", float64(max(d.InSeries, 1)), 1, unbounded)), err
}

// parseDrive reads what append writes.
func parseDrive(b []byte) (Drive, error) {
	le := binary.LittleEndian
	mode, reverses := int(le.Uint16(b)), le.Uint16(b[2:])
	if mode >= len(modes) || reverses > 1 {
		return Drive{}, fmt.Errorf("drive mode %d and reversal %d, want 0…%d and 0 or 1", mode, reverses, len(modes)-1)
	}
	d := Drive{Mode: modes[mode], Reverses: reverses == 1, Frequency: 1e9 / float64(max(1, le.Uint32(b[4:]))),
		MaxDuty: float64(le.Uint16(b[8:])) / math.MaxUint16, HoldDuty: float64(le.Uint16(b[10:])) / math.MaxUint16,
		KickTime: float64(le.Uint32(b[12:])) / 1e6, ScanTime: float64(le.Uint32(b[16:])) / 1e6,
		MostLit: int(le.Uint32(b[20:])), LongestOn: math.Inf(1), Watchdog: float64(le.Uint32(b[28:])) / 1e6, MostKicked: int(le.Uint32(b[32:])), Turns: int(le.Uint32(b[36:])), InSeries: int(le.Uint32(b[40:]))}
	if (d.Turns > 0) != (d.Mode == design.DriveScan) {
		return Drive{}, fmt.Errorf("%d turns in mode %s, want 1 or more in mode scan alone", d.Turns, d.Mode)
	}
	if d.InSeries < 1 {
		return Drive{}, fmt.Errorf("%d coils in series on an output, want 1 or more", d.InSeries)
	}
	if on := le.Uint32(b[24:]); on != unbounded {
		d.LongestOn = float64(on) / 1e6
	}
	return d, nil
}
