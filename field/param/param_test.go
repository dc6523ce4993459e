package param

import (
	"math"
	"testing"
)

func TestErrors(t *testing.T) {
	drive := Of("drive")
	for want, err := range map[string]error{
		"coil outer: 3 mm is too small; accepted: 4 mm or more":                       Of("coil").Refuse("outer", nil, "3 mm is too small", "4 mm or more"),
		"heat Alpha is 2; accepted: 0 to 0.1 /K":                                      Of("heat").Refuse("Alpha", 2.0, "", "0 to 0.1 /K"),
		"drive voltage 0: not a positive finite number; accepted: more than 0 V":      drive.Positive("voltage", 0, "V"),
		"drive time NaN: not a finite number of at least 0; accepted: 0 s or more":    drive.NotNegative("time", math.NaN(), "s"),
		"drive time +Inf: not a positive finite number; accepted: more than 0 s":      drive.Positive("time", math.Inf(1), "s"),
		"drive time 1e+151: not a finite number of at least 0; accepted: 0 s or more": drive.NotNegative("time", 1e151, "s"),
	} {
		if err == nil || err.Error() != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
	if err := drive.NotNegative("time", 0, "s"); err != nil {
		t.Error(err)
	}
	if err := drive.Positive("time", Most, "s"); err != nil {
		t.Error(err)
	}
}
