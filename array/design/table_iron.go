package design

import (
	"lodegrid/field"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

var ironSettings = []of{
	{
		key: "iron.model", kind: choiceOf(func(d *Design) *IronModel { return &d.Iron.Model }, IronNone, IronAuto, IronImage, IronSlab, IronFEM),
		preset: string(IronNone), sentence: "How the steel is computed; none leaves it out, auto lets its shape decide.",
	}, {
		key: "iron.gap", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Iron.Gap }, within("0 mm", "100 mm")),
		preset: "0.2 mm", sentence: "From the board's back face to the steel's front face; 0 mm lies dry on it, which passes heat like 0.001 m² K/W (common practice, no source).",
	}, {
		key: "iron.gap_conductivity", kind: quantityOf(quantity.Conductivity, func(d *Design) *float64 { return &d.Iron.GapConductivity }, above("0 W/(m K)", "500 W/(m K)")),
		preset: "0.0263 W/(m K)", sentence: "Thermal conductivity of what fills the gap: air unless given (0.0263 at 300 K; handbook value, from memory), about 0.2 for adhesive film.",
	}, {
		key: "iron.thickness", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Iron.Thickness }, within("0.01 mm", "100 mm")),
		preset: "1 mm", sentence: "Thickness of the steel.",
	}, {
		key: "iron.radius", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Iron.Radius }, within("0 mm", "250 mm")),
		preset: "0 mm", sentence: "Radius of a steel disc behind each pixel; 0 mm is one sheet behind the whole grid.",
	}, {
		key: "iron.core_radius", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Iron.CoreRadius }, within("0 mm", "250 mm")),
		preset: "0 mm", sentence: "Radius of a steel core through the coil's free middle; 0 mm is none.",
	}, {
		key: "iron.steel", kind: choiceOf(func(d *Design) *string { return &d.Iron.Steel }, material.SteelNames()...),
		preset: usualSteel, sentence: "Kind of steel; it sets iron.mu_r.",
	}, {
		key: "iron.mu_r", kind: numberOf(func(d *Design) *float64 { return &d.Iron.MuR }, within("1", "1000000")),
		source: "from iron.steel", derive: fromSteel(func(d *Design, m material.Steel) { d.Iron.MuR = m.MuR }),
		sentence: "Relative permeability of the linear models.",
	}, {
		key: "iron.factor", kind: numberOf(func(d *Design) *float64 { return &d.Iron.Factor }, within("0", "1")),
		source: "(µr−1)/(µr+1) of iron.mu_r", derive: func(d *Design) { d.Iron.Factor = field.ImageFactor(d.Iron.MuR) },
		sentence: "Strength of the mirror image; give a number measured on the bench to override the permeability.",
	},
}

var magnetSettings = []of{
	{
		key: "magnet.kind", kind: choiceOf(func(d *Design) *MagnetKind { return &d.Magnet.Kind }, MagnetNone, MagnetPerPixel, MagnetSheet),
		preset: string(MagnetNone), sentence: "Layout: none, one cylinder on each pixel's axis, or one sheet behind the whole grid.",
	}, {
		key: "magnet.grade", kind: choiceOf(func(d *Design) *string { return &d.Magnet.Grade }, material.GradeNames()...),
		preset: usualGrade, sentence: "Grade; it sets magnet.remanence, magnet.temp_coefficient and magnet.max_temp.",
	}, {
		key: "magnet.diameter", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Magnet.Diameter }, above("0 mm", "500 mm")),
		preset: "5 mm", sentence: "Diameter of the cylinder; kind pixel.",
	}, {
		key: "magnet.width", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Magnet.Width }, above("0 mm", "1000 m")),
		source: "the width of the grid", derive: func(d *Design) { d.Magnet.Width, _ = d.Size() },
		sentence: "Width of the sheet; kind sheet.",
	}, {
		key: "magnet.height", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Magnet.Height }, above("0 mm", "1000 m")),
		source: "the height of the grid", derive: func(d *Design) { _, d.Magnet.Height = d.Size() },
		sentence: "Height of the sheet; kind sheet.",
	}, {
		key: "magnet.length", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Magnet.Length }, above("0 mm", "500 mm")),
		preset: "1 mm", sentence: "Length along its magnetisation, from front to back.",
	}, {
		key: "magnet.remanence", kind: quantityOf(quantity.FluxDensity, func(d *Design) *float64 { return &d.Magnet.Remanence }, within("-2 T", "2 T")),
		source: "from magnet.grade", derive: fromGrade(func(d *Design, m material.Grade) { d.Magnet.Remanence = m.Remanence }),
		sentence: "Remanence at 20 °C; positive puts the north pole towards the viewer.",
	}, {
		key: "magnet.temp_coefficient", kind: quantityOf(quantity.PerKelvin, func(d *Design) *float64 { return &d.Magnet.TempCoefficient }, within("-2 %/K", "2 %/K")),
		source: "from magnet.grade", derive: fromGrade(func(d *Design, m material.Grade) { d.Magnet.TempCoefficient = m.TempCoefficient }),
		sentence: "Reversible change of the remanence with temperature.",
	}, {
		key: "magnet.depth", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Magnet.Depth }, within("0 mm", "500 mm")),
		preset: "0.2 mm", sentence: "From the board's back face to the magnet's front face.",
	}, {
		key: "magnet.max_temp", kind: quantityOf(quantity.Temperature, func(d *Design) *float64 { return &d.Magnet.MaxTemp }, within("0 °C", "600 °C")),
		source: "from magnet.grade", derive: fromGrade(func(d *Design, m material.Grade) { d.Magnet.MaxTemp = m.Limit }),
		sentence: "Highest temperature the grade stands.",
	},
}
