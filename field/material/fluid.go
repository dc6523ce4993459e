package material

// Fluid is a class of ferrofluid.
type Fluid struct {
	Name           string
	Note           string
	Saturation     float64 // A/m
	Susceptibility float64 // initial, SI
	Density        float64 // kg/m³
	Viscosity      float64 // Pa·s, without a field
	SurfaceTension float64 // N/m, against air
	// InterfacialTension is against a clear liquid that does not mix with the
	// fluid, N/m; a surfactant in the liquid may halve it or worse.
	InterfacialTension float64
	// Grain is the diameter of a grain with the surfactant that clings to it, m: what
	// turns in the liquid when the magnetisation follows a field.
	Grain float64
	// OwnExpansion is by how much the liquid that the magnetite is in grows, 1/K, and
	// AroundExpansion the liquid usual round the fluid: strong brine round oil, oil round water.
	OwnExpansion, AroundExpansion float64
	ViscosityDrift                float64 // 1/K, relative change
	Source                        string
}

// Expansion is by how much the fluid's volume grows, 1/K: magnetite does not.
func (f Fluid) Expansion() float64 { return (1 - f.Saturation/magnetite) * f.OwnExpansion }

// magnetite saturates at this, A/m.
const magnetite = 446e3

// How liquids grow and thin near room temperature. Brine: 0.49 kg/m³ less per kelvin at
// 1148 kg/m³ and 0.55 at 1197 (a table of sodium chloride after Poradnik fizykochemiczny,
// WNT 1974, a copy seen): 4.3e-4 and 4.6e-4 of it; glycerol 5e-4 (a schoolbook's worked
// example seen). Mineral oil and water from memory, 7e-4 and 2.1e-4; so are the viscosities:
// an oil of 10 mm²/s at 40 °C has some 22 at 20 °C, water falls from 1.002 to 0.797 mPa·s
// between 20 and 30 °C.
const (
	oilGrows, brineGrows, waterGrows = 7e-4, 4.5e-4, 2.1e-4
	oilThins, waterThins             = -0.039, -0.023
)

// The classes are magnetite in an oil or in water. Their volume share of magnetite
// is the saturation over 446 kA/m, and their density that of the mixture of 5180
// kg/m³ magnetite in a carrier, surfactant included, of 900 (oil) or 1000 kg/m³
// (water); see the test.
const fluidSource = "class values from memory: makers offer 10–50 kA/m; susceptibility and viscosity rise faster than saturation; " +
	"density computed from the magnetite share; grains of 10 nm of magnetite in 2 nm of surfactant (R. E. Rosensweig, Ferrohydrodynamics, 1985, from memory)"

// The ends between which the relaxation of a magnetite fluid lies. Of single grains the
// moments turn inside them, in some 8e-8 s; in dense fluids grains turn with the liquid
// around them, without regard to that, 5e-5 s in a cold thin oil (C. E. Botez & J. Knoop,
// Materials 17 (2024) 3957, the abstract seen). Grains of many sizes and their clusters are
// larger than the mean one (P. C. Fannin & S. W. Charles, Acta Physica Polonica A 97 (2000)
// 591, the abstract seen); 20 nm for them is a guess.
const (
	QuickestGrain = 8e-8  // s
	LargestGrain  = 20e-9 // m, as Grain
)

var fluids = []Fluid{
	{"oil-light", "200 G class", 16e3, 0.6, 1054, 0.003, 0.024, 0.010, 14e-9, oilGrows, brineGrows, oilThins, fluidSource},
	{"oil-medium", "400 G class", 32e3, 1.5, 1207, 0.006, 0.025, 0.010, 14e-9, oilGrows, brineGrows, oilThins, fluidSource},
	{"oil-strong", "600 G class", 48e3, 3.0, 1361, 0.015, 0.026, 0.010, 14e-9, oilGrows, brineGrows, oilThins, fluidSource},
	{"water-light", "125 G class", 10e3, 0.4, 1094, 0.002, 0.035, 0.015, 14e-9, waterGrows, oilGrows, waterThins, fluidSource},
	{"water-medium", "200 G class", 16e3, 0.8, 1150, 0.004, 0.035, 0.015, 14e-9, waterGrows, oilGrows, waterThins, fluidSource},
}

// FluidNames lists the accepted names.
func FluidNames() []string { return names(fluids, Fluid.name) }

// FluidNamed returns the fluid of that name, nothing for a name that is none.
func FluidNamed(name string) Fluid { return find(name, fluids, Fluid.name) }

func (x Fluid) name() string { return x.Name }
