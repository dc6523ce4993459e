package material

import (
	"fmt"

	"lodegrid/field"
)

// Grade is a class of permanent magnet.
type Grade struct {
	Name            string
	Note            string
	Remanence       float64 // T at 20 °C, middle of the class
	RemanenceLeast  float64 // T at 20 °C, bottom of the class
	TempCoefficient float64 // 1/K, reversible change of remanence relative to that at 20 °C
	Recoil          float64 // relative recoil permeability
	Density         float64 // kg/m³
	Limit           float64 // K, highest working temperature; less for a thin magnet
	Source          string
}

// RemanenceAt returns the remanence in T at the absolute temperature tempK, as long
// as the magnet has not been above its limit.
func (g Grade) RemanenceAt(tempK float64) float64 {
	return g.Remanence * Linear(g.TempCoefficient, tempK)
}

// Sintered neodymium-iron-boron: the number is the energy product in MGOe and sets
// the remanence; the letters set the coercivity and with it the limit. The trade
// writes N35SH, the table n35sh.
var (
	neodymiumNumbers = []struct {
		number      int
		least, most float64 // T
	}{
		{30, 1.08, 1.13}, {33, 1.13, 1.17}, {35, 1.17, 1.22}, {38, 1.22, 1.25}, {40, 1.25, 1.28},
		{42, 1.28, 1.32}, {45, 1.32, 1.37}, {48, 1.37, 1.42}, {50, 1.39, 1.44}, {52, 1.42, 1.46},
	}
	neodymiumLetters = []struct {
		letters     string
		from, to    int     // numbers offered
		limit       float64 // °C
		coefficient float64 // 1/K
	}{
		{"", 35, 52, 80, -0.0012}, {"m", 35, 50, 100, -0.0012}, {"h", 35, 48, 120, -0.0012},
		{"sh", 33, 45, 150, -0.0011}, {"uh", 30, 40, 180, -0.0011}, {"eh", 30, 38, 200, -0.0011},
	}
)

var grades = makeGrades()

func makeGrades() []Grade {
	var list []Grade
	for _, l := range neodymiumLetters {
		for _, n := range neodymiumNumbers {
			if n.number < l.from || n.number > l.to {
				continue
			}
			list = append(list, Grade{
				Name: fmt.Sprintf("n%d%s", n.number, l.letters), Note: "sintered neodymium-iron-boron",
				Remanence: (n.least + n.most) / 2, RemanenceLeast: n.least, TempCoefficient: l.coefficient,
				Recoil: 1.05, Density: 7500, Limit: field.ZeroCelsius + l.limit,
				Source: "remanence, density and recoil: two makers' grade tables, seen, which agree within 0.02 T; limit, for magnets not much " +
					"thinner than 0.7 diameters: the same; coefficient −0.12 %/K for N, M: seen, −0.11 to −0.12 %/K for the rest: from memory",
			})
		}
	}
	const ferrite = "remanence: SJ/T 10410 classes in makers' tables, seen; −0.20 %/K from 0 to 100 °C, 250 °C, recoil 1.05–1.3: makers' tables, seen"
	for _, f := range []struct {
		name           string
		least, typical float64
	}{{"y25", 0.36, 0.37}, {"y30", 0.37, 0.385}, {"y30bh", 0.38, 0.39}, {"y33", 0.41, 0.42}, {"y35", 0.40, 0.41}} {
		list = append(list, Grade{
			Name: f.name, Note: "sintered hard ferrite",
			Remanence: f.typical, RemanenceLeast: f.least, TempCoefficient: -0.002,
			Recoil: 1.1, Density: 4900, Limit: field.ZeroCelsius + 250, Source: ferrite,
		})
	}
	return append(list, Grade{
		Name: "flexible-ferrite", Note: "rubber-bonded ferrite sheet, magnetised through its thickness on one side each",
		Remanence: 0.22, RemanenceLeast: 0.16, TempCoefficient: -0.002,
		Recoil: 1.05, Density: 3700, Limit: field.ZeroCelsius + 80, Source: "from memory",
	})
}

// GradeNames lists the accepted names.
func GradeNames() []string { return names(grades, Grade.name) }

// GradeNamed returns the magnet grade of that name, nothing for a name that is none.
func GradeNamed(name string) Grade { return find(name, grades, Grade.name) }

func (x Grade) name() string { return x.Name }
