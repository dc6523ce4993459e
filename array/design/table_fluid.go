package design

import (
	"math"
	"strconv"

	"lodegrid/array/extent"
	"lodegrid/array/tank"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

var fluidSettings = []of{
	given("fluid.kind", choiceOf(material.FluidNames()...), usualFluid, "Class of ferrofluid; it sets susceptibility, saturation, density, viscosity and surface tension."),
	follows("fluid.height", quantityOf(quantity.Length, above("0 mm", "200 mm")), "tank.air_gap, tank.rear and half of fluid.tank_gap",
		"From the board's front face to the fluid plane, the middle of the fluid.", func(d *Design) { d.Fluid.Height = d.Tank.middle(d.Fluid.TankGap) }),
	given("fluid.tank_gap", quantityOf(quantity.Length, above("0 mm", "200 mm")), "3 mm", "Clear depth between the panes."),
	follows("fluid.susceptibility", numberOf(above("0", "100")), "from fluid.kind",
		"Initial magnetic susceptibility (SI).", fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Susceptibility = m.Susceptibility })),
	follows("fluid.saturation", quantityOf(quantity.Magnetisation, above("0 A/m", "500 kA/m")), "from fluid.kind",
		"Saturation magnetisation.", fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Saturation = m.Saturation })),
	given("fluid.density_difference", quantityOf(quantity.Density, within("-5000 kg/m³", "5000 kg/m³")), "50 kg/m³", "Density of the fluid minus that of the liquid round it."),
	follows("fluid.density", quantityOf(quantity.Density, within("1 kg/m³", "5000 kg/m³")), "from fluid.kind", "Density of the fluid.", fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Density = m.Density })),
	given("fluid.temperature", quantityOf(quantity.Temperature, within("-60 °C", "150 °C")), "20 °C", "Temperature at which the liquids' densities and viscosities are those told here."),
	follows("fluid.expansion", quantityOf(quantity.PerKelvin, within("0 %/K", "1 %/K")), "from fluid.kind",
		"How much the fluid's volume grows with temperature.", fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Expansion = m.Expansion() })),
	follows("fluid.carrier_expansion", quantityOf(quantity.PerKelvin, within("0 %/K", "1 %/K")), "from fluid.kind: strong brine round an oil, oil round water",
		"How much the volume of the liquid round the fluid grows with temperature.", fromFluid(func(d *Design, m material.Fluid) { d.Fluid.CarrierExpansion = m.AroundExpansion })),
	follows("fluid.density_drift", quantityOf(quantity.DensityPerKelvin, within("-20 kg/m³/K", "20 kg/m³/K")), "the liquids' densities and how they expand",
		"How fluid.density_difference changes with temperature.", func(d *Design) {
			f := &d.Fluid
			f.DensityDrift = (f.Density-f.DensityDifference)*f.CarrierExpansion - f.Density*f.Expansion
		}),
	follows("fluid.viscosity", quantityOf(quantity.Viscosity, above("0 Pa s", "1000 Pa s")), "from fluid.kind", "Dynamic viscosity.", fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Viscosity = m.Viscosity })),
	follows("fluid.relaxation", quantityOf(quantity.Time, within("0 s", "1 h")), "fluid.viscosity and the grains of fluid.kind",
		"Time in which the fluid's magnetisation follows a field; 0 s where it feels all of the PWM's ripple, 1 h where only the mean current.", fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Relaxation = relaxation(m.Grain, d.Fluid) })),
	follows("fluid.carrier_viscosity", quantityOf(quantity.Viscosity, above("0 Pa s", "1000 Pa s")), "fluid.viscosity",
		"Dynamic viscosity of the liquid round the fluid; a water-like one is often a tenth of the fluid's.", func(d *Design) { d.Fluid.CarrierViscosity = d.Fluid.Viscosity }),
	follows("fluid.viscosity_drift", quantityOf(quantity.PerKelvin, within("-20 %/K", "0 %/K")), "from fluid.kind",
		"How either liquid thins with each kelvin at fluid.temperature; less the warmer it is, by Andrade's law.", fromFluid(func(d *Design, m material.Fluid) { d.Fluid.ViscosityDrift = m.ViscosityDrift })),
	follows("fluid.surface_tension", quantityOf(quantity.SurfaceTension, above("0 N/m", "1 N/m")), "from fluid.kind",
		"Surface tension against the liquid round it.", fromFluid(func(d *Design, m material.Fluid) { d.Fluid.SurfaceTension = m.InterfacialTension })),
	follows("fluid.contact_line", spanOf(quantity.LineTension, within("0 N/m", "1 N/m")), "0 N/m to 0.27 of fluid.surface_tension, as panes with a repellent coating",
		"Force that holds the edge of a drop on both panes, per width of drop, one or from least to most; 0 mN/m for a slippery pane.", func(d *Design) {
			d.Fluid.ContactLine, d.Fluid.ContactLineMost = 0, coatedGrip*d.Fluid.SurfaceTension
		}),
	follows("fluid.merge_gap", quantityOf(quantity.Length, above("0 mm", "200 mm")), "0.21 of fluid.tank_gap, where their bulging edges touch",
		"Distance at which two drops become one, between their edges' means over the tank's depth.", func(d *Design) { d.Fluid.MergeGap = tank.DefaultMergeGap * d.Fluid.TankGap }),
	given("fluid.drop_diameter", quantityOf(quantity.Length, above("0 mm", "500 mm")), "8 mm", "Diameter of the reference drop the pull is computed for."),
	given("fluid.volume", quantityOf(quantity.Volume, within("0 mL", "1000 L")), "0 mL", "Fluid in the tank; 0 mL for a drop on each pixel of a scene's fullest picture, of its first where the display lies."),
	given("fluid.start", textOf(10000), startPicture,
		"Where drops are when a scene begins: picture for the pixels of its first picture, pool for none, or row,column of pixels as in 1,1 2,3. What fluid is left lies at the bottom, or on dark pixels of a display that lies."),
}

// coatedGrip is the most that two panes with a repellent coating hold a drop with, over the
// surface tension: per pane k(cos θr − cos θa), k = 24/π³ (A. ElSherbini & A. Jacobi, J.
// Colloid Interface Sci. 299 (2006) 841, the abstract seen, k from memory), of angles about 90°
// that are 10° apart. Coatings reach 2° (103° ± 1°: T. Dong & T. J. McCarthy, ACS Appl. Mater.
// Interfaces 2017, abstract seen), ordinary ones 10° and bare glass far more (from memory);
// where the carrier keeps a film on the pane nothing holds.
const coatedGrip = 2 * 24 / (math.Pi * math.Pi * math.Pi) * 0.17431

var limitSettings = []of{
	follows("limits.board", quantityOf(quantity.Temperature, within("30 °C", "400 °C")), "from board.laminate",
		"Highest temperature of the board.", fromLaminate(func(d *Design, m material.Laminate) { d.Limits.Board = m.Limit })),
	given("limits.touch", quantityOf(quantity.Temperature, within("30 °C", "400 °C")), "51 °C", "Highest temperature of a surface people can touch (ISO 13732-1, bare metal for one minute, from memory)."),
	given("limits.hold", numberOf(above("0", "1000")), "2", "Least pull on the drop of a lit pixel, as a multiple of what it takes to hold it."),
	given("limits.false_on", numberOf(above("0", "1000")), "0.5", "Greatest pull at a dark pixel, as a multiple of what it takes to hold the drop."),
	given("limits.supply_load", quantityOf(quantity.Ratio, above("0 %", "100 %")), "100 %", "Greatest share of the supply's derated power."),
	given("limits.shown", quantityOf(quantity.Ratio, within("0 %", "100 %")), "90 %",
		"Least share of the wanted pixels that the fluid is on when a frame ends, over all frames after the first picture; 0 % does not ask for any."),
	given("limits.stray", quantityOf(quantity.Ratio, within("0 %", "100 %")), "25 %", "Most fluid at dark pixels when a frame ends, as a share of the fluid wanted; 100 % allows any."),
}

// SceneKinds returns the kinds of scene: those that are generated, and file.
func SceneKinds() []string {
	return []string{"tide", "ticker", "clock", "checker", "walk", "hand-over", "all-on", "gauge", "plasma", "worst-crosstalk", sceneFile}
}

const (
	sceneFile   = "file"
	sceneTicker = "ticker"
)

var sceneSettings = []of{
	given("scene.kind", choiceOf(SceneKinds()...), "tide", "A generated scene, or file."),
	given("scene.file", textOf(1000), "", "Picture, folder of pictures or table, relative to the design file; kind file."),
	given("scene.text", textOf(1000), "", "What runs across; kind ticker."),
	given("scene.band", numberOf(within("0", strconv.Itoa(extent.MaxSide))), "0", "Rows lit below the water's surface; kind tide; 0 lights all of the water."),
	given("scene.duration", quantityOf(quantity.Time, within("0 s", "168 h")), "0 s", "Length of the scene; 0 s takes the kind's own."),
	given("scene.frame_time", quantityOf(quantity.Time, within("0 s", "24 h")), "0 s", "Time per frame; 0 s takes the kind's own."),
	given("scene.speed", numberOf(within("0.0001", "10000")), "1", "How many times as fast the scene is played, whatever it is made of: below 1 is slower."),
	given("scene.mapping", choiceOf("threshold", "linear", "dither"), "threshold", "How brightness becomes drive: on or off, in proportion, or on or off with the share of lit pixels in proportion."),
	given("scene.threshold", numberOf(within("0", "1")), "0.5", "Brightness from which a pixel is on; mapping threshold."),
	given("scene.level", numberOf(within("-1", "1")), "1", "Drive level of a white pixel; negative reverses the current."),
	given("scene.hold_level", numberOf(within("0.001", "1")), "1",
		"Drive level that holds a drop; from half of it on a pixel counts as lit. Less than 1 where the scene's moves are planned: level 1 is the kick then."),
	given("scene.carry", switchOf(), "false",
		"Plan the moves that carry the drops through the scene's pictures: drive.max_duty is the kick's duty then, scene.hold_level the share of it that holds. A table of planned moves is played as it is, with false."),
	given("scene.gather", quantityOf(quantity.Time, within("0 s", "168 h")), "0 s",
		"With scene.carry: how often drops that have run together are parted. Each pixel with a drop is kicked while those beside it hold on less firmly, so that it draws back a drop that the one at its left or right has taken; in the tank it may cost as many places as it mends: lodegrid carry --loops counts. 0 s for never, more than the scene's length for once each time it is played."),
	given("scene.seed", seedOf(), "1", "Seed of whatever is random."),
}

var benchSettings = []of{
	given("bench.probe", quantityOf(quantity.Length, within("-2 mm", "20 mm")), "0 mm", "How deep the element of a field probe lies behind the face that heights are told of."),
}
