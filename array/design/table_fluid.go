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
	{
		key: "fluid.kind", kind: choiceOf(func(d *Design) *string { return &d.Fluid.Kind }, material.FluidNames()...),
		preset: usualFluid, sentence: "Class of ferrofluid; it sets susceptibility, saturation, density, viscosity and surface tension.",
	}, {
		key: "fluid.height", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Fluid.Height }, above("0 mm", "200 mm")),
		source: "tank.air_gap, tank.rear and half of fluid.tank_gap", derive: func(d *Design) { d.Fluid.Height = d.Tank.middle(d.Fluid.TankGap) },
		sentence: "From the board's front face to the fluid plane, the middle of the fluid.",
	}, {
		key: "fluid.tank_gap", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Fluid.TankGap }, above("0 mm", "200 mm")),
		preset: "3 mm", sentence: "Clear depth between the panes.",
	}, {
		key: "fluid.susceptibility", kind: numberOf(func(d *Design) *float64 { return &d.Fluid.Susceptibility }, above("0", "100")),
		source: "from fluid.kind", derive: fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Susceptibility = m.Susceptibility }),
		sentence: "Initial magnetic susceptibility (SI).",
	}, {
		key: "fluid.saturation", kind: quantityOf(quantity.Magnetisation, func(d *Design) *float64 { return &d.Fluid.Saturation }, above("0 A/m", "500 kA/m")),
		source: "from fluid.kind", derive: fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Saturation = m.Saturation }),
		sentence: "Saturation magnetisation.",
	}, {
		key: "fluid.density_difference", kind: quantityOf(quantity.Density, func(d *Design) *float64 { return &d.Fluid.DensityDifference }, within("-5000 kg/m³", "5000 kg/m³")),
		preset: "50 kg/m³", sentence: "Density of the fluid minus that of the liquid round it.",
	}, {
		key: "fluid.density", kind: quantityOf(quantity.Density, func(d *Design) *float64 { return &d.Fluid.Density }, above("0 kg/m³", "5000 kg/m³")),
		source: "from fluid.kind", derive: fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Density = m.Density }),
		sentence: "Density of the fluid.",
	}, {
		key: "fluid.temperature", kind: quantityOf(quantity.Temperature, func(d *Design) *float64 { return &d.Fluid.Temperature }, within("-60 °C", "150 °C")),
		preset: "20 °C", sentence: "Temperature at which the liquids' densities and viscosities are those told here.",
	}, {
		key: "fluid.expansion", kind: quantityOf(quantity.PerKelvin, func(d *Design) *float64 { return &d.Fluid.Expansion }, within("0 %/K", "1 %/K")),
		source: "from fluid.kind", derive: fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Expansion = m.Expansion() }),
		sentence: "How much the fluid's volume grows with temperature.",
	}, {
		key: "fluid.carrier_expansion", kind: quantityOf(quantity.PerKelvin, func(d *Design) *float64 { return &d.Fluid.CarrierExpansion }, within("0 %/K", "1 %/K")),
		source: "from fluid.kind: strong brine round an oil, oil round water", derive: fromFluid(func(d *Design, m material.Fluid) { d.Fluid.CarrierExpansion = m.AroundExpansion }),
		sentence: "How much the volume of the liquid round the fluid grows with temperature.",
	}, {
		key: "fluid.density_drift", kind: quantityOf(quantity.DensityPerKelvin, func(d *Design) *float64 { return &d.Fluid.DensityDrift }, within("-20 kg/m³/K", "20 kg/m³/K")),
		source: "the liquids' densities and how they expand", derive: func(d *Design) {
			f := &d.Fluid
			f.DensityDrift = (f.Density-f.DensityDifference)*f.CarrierExpansion - f.Density*f.Expansion
		},
		sentence: "How fluid.density_difference changes with temperature.",
	}, {
		key: "fluid.viscosity", kind: quantityOf(quantity.Viscosity, func(d *Design) *float64 { return &d.Fluid.Viscosity }, above("0 Pa s", "1000 Pa s")),
		source: "from fluid.kind", derive: fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Viscosity = m.Viscosity }),
		sentence: "Dynamic viscosity.",
	}, {
		key: "fluid.relaxation", kind: quantityOf(quantity.Time, func(d *Design) *float64 { return &d.Fluid.Relaxation }, within("0 s", "1 h")),
		source: "fluid.viscosity and the grains of fluid.kind", derive: fromFluid(func(d *Design, m material.Fluid) { d.Fluid.Relaxation = relaxation(m.Grain, d.Fluid) }),
		sentence: "Time in which the fluid's magnetisation follows a field; 0 s where it feels all of the PWM's ripple, 1 h where only the mean current.",
	}, {
		key: "fluid.carrier_viscosity", kind: quantityOf(quantity.Viscosity, func(d *Design) *float64 { return &d.Fluid.CarrierViscosity }, above("0 Pa s", "1000 Pa s")),
		source: "fluid.viscosity", derive: func(d *Design) { d.Fluid.CarrierViscosity = d.Fluid.Viscosity },
		sentence: "Dynamic viscosity of the liquid round the fluid; a water-like one is often a tenth of the fluid's.",
	}, {
		key: "fluid.viscosity_drift", kind: quantityOf(quantity.PerKelvin, func(d *Design) *float64 { return &d.Fluid.ViscosityDrift }, within("-20 %/K", "0 %/K")),
		source: "from fluid.kind", derive: fromFluid(func(d *Design, m material.Fluid) { d.Fluid.ViscosityDrift = m.ViscosityDrift }),
		sentence: "How either liquid thins with each kelvin at fluid.temperature; less the warmer it is, by Andrade's law.",
	}, {
		key: "fluid.surface_tension", kind: quantityOf(quantity.SurfaceTension, func(d *Design) *float64 { return &d.Fluid.SurfaceTension }, above("0 N/m", "1 N/m")),
		source: "from fluid.kind", derive: fromFluid(func(d *Design, m material.Fluid) { d.Fluid.SurfaceTension = m.InterfacialTension }),
		sentence: "Surface tension against the liquid round it.",
	}, {
		key: "fluid.contact_line", kind: spanOf(quantity.LineTension, func(d *Design) (low, high *float64) { return &d.Fluid.ContactLine, &d.Fluid.ContactLineMost }, within("0 N/m", "1 N/m")),
		source: "0 N/m to 0.27 of fluid.surface_tension, as panes with a repellent coating", derive: func(d *Design) {
			d.Fluid.ContactLine, d.Fluid.ContactLineMost = 0, coatedGrip*d.Fluid.SurfaceTension
		},
		sentence: "Force that holds the edge of a drop on both panes, per width of drop, one or from least to most; 0 mN/m for a slippery pane.",
	}, {
		key: "fluid.merge_gap", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Fluid.MergeGap }, above("0 mm", "200 mm")),
		source: "0.21 of fluid.tank_gap, where their bulging edges touch", derive: func(d *Design) { d.Fluid.MergeGap = tank.DefaultMergeGap * d.Fluid.TankGap },
		sentence: "Distance at which two drops become one, between their edges' means over the tank's depth.",
	}, {
		key: "fluid.drop_diameter", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Fluid.DropDiameter }, above("0 mm", "500 mm")),
		preset: "8 mm", sentence: "Diameter of the reference drop the pull is computed for.",
	}, {
		key: "fluid.volume", kind: quantityOf(quantity.Volume, func(d *Design) *float64 { return &d.Fluid.Volume }, within("0 mL", "1000 L")),
		preset: "0 mL", sentence: "Fluid in the tank; 0 mL for a drop on each pixel of a scene's fullest picture, of its first where the display lies.",
	}, {
		key: "fluid.start", kind: textOf(func(d *Design) *string { return &d.Fluid.Start }, 10000),
		preset: startPicture, sentence: "Where drops are when a scene begins: picture for the pixels of its first picture, pool for none, or row,column of pixels as in 1,1 2,3. What fluid is left lies at the bottom, or on dark pixels of a display that lies.",
	},
}

// coatedGrip is the most that two panes with a repellent coating hold a drop with, over the
// surface tension: per pane k(cos θr − cos θa), k = 24/π³ (A. ElSherbini & A. Jacobi, J.
// Colloid Interface Sci. 299 (2006) 841, the abstract seen, k from memory), of angles about 90°
// that are 10° apart. Coatings reach 2° (103° ± 1°: T. Dong & T. J. McCarthy, ACS Appl. Mater.
// Interfaces 2017, abstract seen), ordinary ones 10° and bare glass far more (from memory);
// where the carrier keeps a film on the pane nothing holds.
const coatedGrip = 2 * 24 / (math.Pi * math.Pi * math.Pi) * 0.17431

var limitSettings = []of{
	{
		key: "limits.board", kind: quantityOf(quantity.Temperature, func(d *Design) *float64 { return &d.Limits.Board }, within("30 °C", "400 °C")),
		source: "from board.laminate", derive: fromLaminate(func(d *Design, m material.Laminate) { d.Limits.Board = m.Limit }),
		sentence: "Highest temperature of the board.",
	}, {
		key: "limits.touch", kind: quantityOf(quantity.Temperature, func(d *Design) *float64 { return &d.Limits.Touch }, within("30 °C", "400 °C")),
		preset: "51 °C", sentence: "Highest temperature of a surface people can touch (ISO 13732-1, bare metal for one minute, from memory).",
	}, {
		key: "limits.hold", kind: numberOf(func(d *Design) *float64 { return &d.Limits.Hold }, above("0", "1000")),
		preset: "2", sentence: "Least pull on the drop of a lit pixel, as a multiple of what it takes to hold it.",
	}, {
		key: "limits.false_on", kind: numberOf(func(d *Design) *float64 { return &d.Limits.FalseOn }, above("0", "1000")),
		preset: "0.5", sentence: "Greatest pull at a dark pixel, as a multiple of what it takes to hold the drop.",
	}, {
		key: "limits.supply_load", kind: quantityOf(quantity.Ratio, func(d *Design) *float64 { return &d.Limits.SupplyLoad }, above("0 %", "100 %")),
		preset: "100 %", sentence: "Greatest share of the supply's derated power.",
	}, {
		key: "limits.shown", kind: quantityOf(quantity.Ratio, func(d *Design) *float64 { return &d.Limits.Shown }, within("0 %", "100 %")),
		preset: "90 %", sentence: "Least share of the wanted pixels that the fluid is on when a frame ends, over all frames after the first picture; 0 % does not ask for any.",
	}, {
		key: "limits.stray", kind: quantityOf(quantity.Ratio, func(d *Design) *float64 { return &d.Limits.Stray }, within("0 %", "100 %")),
		preset: "25 %", sentence: "Most fluid at dark pixels when a frame ends, as a share of the fluid wanted; 100 % allows any.",
	},
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
	{
		key: "scene.kind", kind: choiceOf(func(d *Design) *string { return &d.Scene.Kind }, SceneKinds()...),
		preset: "tide", sentence: "A generated scene, or file.",
	}, {
		key: "scene.file", kind: textOf(func(d *Design) *string { return &d.Scene.File }, 1000),
		preset: "", sentence: "Picture, folder of pictures or table, relative to the design file; kind file.",
	}, {
		key: "scene.text", kind: textOf(func(d *Design) *string { return &d.Scene.Text }, 1000),
		preset: "", sentence: "What runs across; kind ticker.",
	}, {
		key: "scene.band", kind: numberOf(func(d *Design) *float64 { return &d.Scene.Band }, within("0", strconv.Itoa(extent.MaxSide))),
		preset: "0", sentence: "Rows lit below the water's surface; kind tide; 0 lights all of the water.",
	}, {
		key: "scene.duration", kind: quantityOf(quantity.Time, func(d *Design) *float64 { return &d.Scene.Duration }, within("0 s", "168 h")),
		preset: "0 s", sentence: "Length of the scene; 0 s takes the kind's own.",
	}, {
		key: "scene.frame_time", kind: quantityOf(quantity.Time, func(d *Design) *float64 { return &d.Scene.FrameTime }, within("0 s", "24 h")),
		preset: "0 s", sentence: "Time per frame; 0 s takes the kind's own.",
	}, {
		key: "scene.speed", kind: numberOf(func(d *Design) *float64 { return &d.Scene.Speed }, within("0.0001", "10000")),
		preset: "1", sentence: "How many times as fast the scene is played, whatever it is made of: below 1 is slower.",
	}, {
		key: "scene.mapping", kind: choiceOf(func(d *Design) *string { return &d.Scene.Mapping }, "threshold", "linear", "dither"),
		preset: "threshold", sentence: "How brightness becomes drive: on or off, in proportion, or on or off with the share of lit pixels in proportion.",
	}, {
		key: "scene.threshold", kind: numberOf(func(d *Design) *float64 { return &d.Scene.Threshold }, within("0", "1")),
		preset: "0.5", sentence: "Brightness from which a pixel is on; mapping threshold.",
	}, {
		key: "scene.level", kind: numberOf(func(d *Design) *float64 { return &d.Scene.Level }, within("-1", "1")),
		preset: "1", sentence: "Drive level of a white pixel; negative reverses the current.",
	}, {
		key: "scene.hold_level", kind: numberOf(func(d *Design) *float64 { return &d.Scene.HoldLevel }, within("0.001", "1")),
		preset: "1", sentence: "Drive level that holds a drop; from half of it on a pixel counts as lit. Less than 1 where the scene's moves are planned: level 1 is the kick then.",
	}, {
		key: "scene.carry", kind: switchOf(func(d *Design) *bool { return &d.Scene.Carry }),
		preset: "false", sentence: "Plan the moves that carry the drops through the scene's pictures: drive.max_duty is the kick's duty then, scene.hold_level the share of it that holds. A table of planned moves is played as it is, with false.",
	}, {
		key: "scene.gather", kind: quantityOf(quantity.Time, func(d *Design) *float64 { return &d.Scene.Gather }, within("0 s", "168 h")),
		preset: "0 s", sentence: "With scene.carry: how often drops that have run together are parted. Each pixel with a drop is kicked while those beside it hold on less firmly, so that it draws back a drop that the one beside it has taken; 0 s for never, more than the scene's length for once each time it is played.",
	}, {
		key: "scene.seed", kind: seedOf(func(d *Design) *uint64 { return &d.Scene.Seed }),
		preset: "1", sentence: "Seed of whatever is random.",
	},
}

var benchSettings = []of{{
	key: "bench.probe", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Bench.Probe }, within("-2 mm", "20 mm")),
	preset: "0 mm", sentence: "How deep the element of a field probe lies behind the face that heights are told of.",
}}
