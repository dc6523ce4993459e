package design

import "testing"

// What a design says of a key, set again, leaves the design as it is.
func TestSaysIsAChange(t *testing.T) {
	d, n := Demo(), 0
	for _, e := range Explain() {
		value, ok := d.Says(e.Key)
		if !ok {
			continue
		}
		n++
		same, err := d.With(Change{e.Key, value})
		if err != nil {
			t.Errorf("%s = %s: %v", e.Key, value, err)
		} else if again, _ := same.Says(e.Key); again != value {
			t.Errorf("%s = %s comes back as %s", e.Key, value, again)
		}
	}
	if n < 60 {
		t.Errorf("only %d keys say anything", n)
	}
	if _, ok := d.Says("board.colour"); ok {
		t.Error("a key that there is not says something")
	}
}
