package quantity

// Derived is a value together with how it came about, written where it is computed:
// the formula, "=", and the numbers that went in, so that a reader can work it out
// again. Prose stands before a colon or after a semicolon.
type Derived struct {
	Value float64 // SI
	Why   string
}
