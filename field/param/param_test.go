package param

import (
	"testing"
)

func TestErrors(t *testing.T) {
	for want, err := range map[string]error{
		"coil outer: 3 mm is too small; accepted: 4 mm or more": Of("coil").Refuse("outer", nil, "3 mm is too small", "4 mm or more"),
		"heat Alpha is 2; accepted: 0 to 0.1 /K":                Of("heat").Refuse("Alpha", 2.0, "", "0 to 0.1 /K"),
	} {
		if err == nil || err.Error() != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
}
