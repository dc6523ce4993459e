package coil

import (
	"fmt"
	"math"
)

// wireSize is a row of the table of enamelled round copper wire: bare diameter and
// greatest overall diameter in grades 1 to 3, millimetres, 0 where none is known.
type wireSize struct {
	bare    float64
	overall [3]float64
}

// Overall diameters of IEC 60317-0-1 as two makers' tables quote them (the standard
// was not seen); the second grade of 0.1 mm from memory.
var wireSizes = []wireSize{
	{0.071, [3]float64{0.084, 0.091, 0}},
	{0.100, [3]float64{0.117, 0.125, 0}},
	{0.160, [3]float64{0.182, 0.194, 0}},
	{0.180, [3]float64{0.204, 0.217, 0}},
	{0.200, [3]float64{0.226, 0.239, 0.252}},
	{0.250, [3]float64{0.281, 0.297, 0.312}},
	{0.315, [3]float64{0.349, 0.367, 0.384}},
	{0.400, [3]float64{0.439, 0.459, 0.478}},
	{0.500, [3]float64{0.544, 0.566, 0.587}},
	{0.630, [3]float64{0.679, 0.704, 0.728}},
	{0.710, [3]float64{0.762, 0.789, 0.814}},
	{0.800, [3]float64{0.855, 0.884, 0.911}},
	{0.900, [3]float64{0.959, 0.989, 1.018}},
	{1.000, [3]float64{1.062, 1.094, 1.124}},
	{1.120, [3]float64{1.184, 1.217, 1.248}},
	{1.250, [3]float64{1.316, 1.349, 1.381}},
	{1.400, [3]float64{1.468, 1.502, 0}},
	{1.600, [3]float64{1.670, 1.706, 0}},
}

// OverallDiameter returns the greatest diameter over the enamel, in metres, of round
// copper wire of a bare diameter (m) and insulation grade (1, 2 or 3), between the
// standard's sizes by linear interpolation. Grades 1 and 2 are known from 0.071 mm to
// 1.6 mm, grade 3 from 0.2 mm to 1.25 mm; the error is a *param.Error.
func OverallDiameter(bare float64, grade int) (float64, error) {
	if grade < 1 || grade > 3 {
		return 0, params.Refuse("grade", nil, fmt.Sprintf("insulation grade %d", grade), "1, 2 or 3")
	}
	var known []wireSize
	for _, w := range wireSizes {
		if w.overall[grade-1] > 0 {
			known = append(known, w)
		}
	}
	d := bare * 1e3
	first, last := known[0], known[len(known)-1]
	if !(d >= first.bare*(1-slack) && d <= last.bare*(1+slack)) {
		return 0, params.Refuse("wire", nil, fmt.Sprintf("no table of grade %d for wire of %s", grade, mm(bare)),
			fmt.Sprintf("%g mm to %g mm, or the overall diameter itself", first.bare, last.bare))
	}
	for i := 1; ; i++ {
		a, b := known[i-1], known[i]
		if d <= b.bare || i == len(known)-1 {
			x := (d - a.bare) / (b.bare - a.bare)
			return 1e-3 * (a.overall[grade-1] + x*(b.overall[grade-1]-a.overall[grade-1])), nil
		}
	}
}

// WireGauge returns the bare diameter in metres of a wire of the American gauge,
// 0.127 mm · 92^((36−n)/39) (ASTM B258, from memory).
func WireGauge(n int) float64 { return 0.127e-3 * math.Pow(92, float64(36-n)/39) }
