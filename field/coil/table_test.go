package coil

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"lodegrid/field"
)

// row is one line of a table of check values.
type row map[string]string

// table reads a file of testdata/coil; its first lines tell where the values come
// from.
func table(t testing.TB, name string) []row {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "coil", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []row
	for _, line := range lines[1:] {
		m := row{}
		for i, key := range lines[0] {
			m[key] = line[i]
		}
		rows = append(rows, m)
	}
	if len(rows) == 0 {
		t.Fatalf("%s has no rows", name)
	}
	return rows
}

func number(t testing.TB, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func (r row) f(t testing.TB, key string) float64 {
	t.Helper()
	text, ok := r[key]
	if !ok {
		t.Fatalf("no column %s", key)
	}
	return number(t, text)
}

func (r row) list(t testing.TB, key string) []float64 {
	t.Helper()
	var v []float64
	for _, text := range strings.Split(r[key], ";") {
		v = append(v, number(t, text))
	}
	return v
}

// tables rescales a value computed with µ0 = 4π·10⁻⁷ to the constant in use.
const tables = field.Mu0 / (4e-7 * math.Pi)

func relative(got, want float64) float64 {
	if got == want {
		return 0
	}
	return math.Abs(got-want) / math.Abs(want)
}

// board is an even stack of 1 oz copper in a board 2 mm thick.
func board(t testing.TB, layers int) []Layer {
	t.Helper()
	s, err := EvenStack(layers, 2e-3, 34.8e-6, 34.8e-6)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// build makes a coil or fails the test.
func build(t testing.TB, s Spec) *Coil {
	t.Helper()
	c, err := New(s, DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// usual is a spec that passes; tests change parts of it.
func usual(t testing.TB, shape Shape, layers int) Spec {
	t.Helper()
	return Spec{
		Shape: shape, Outer: 9.3e-3, Inner: 2e-3, CornerRadius: 2.5e-3,
		Track: 4 * mil, Gap: 4 * mil, Layers: board(t, layers),
		ViaDrill: 0.2e-3, ViaPlating: 20e-6,
	}
}
