package design

import (
	"lodegrid/field"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

var ironSettings = []of{
	given("iron.model", choiceOf(IronNone, IronAuto, IronImage, IronSlab, IronFEM), string(IronNone), "How the steel is computed; none leaves it out, auto lets its shape decide."),
	given("iron.gap", quantityOf(quantity.Length, within("0 mm", "100 mm")), "0.2 mm",
		"From the board's back face to the steel's front face; 0 mm lies dry on it, which passes heat like 0.001 m² K/W (common practice, no source)."),
	given("iron.gap_conductivity", quantityOf(quantity.Conductivity, above("0 W/(m K)", "500 W/(m K)")), "0.0263 W/(m K)",
		"Thermal conductivity of what fills the gap: air unless given (0.0263 at 300 K; handbook value, from memory), about 0.2 for adhesive film."),
	given("iron.thickness", quantityOf(quantity.Length, within("0.01 mm", "100 mm")), "1 mm", "Thickness of the steel."),
	given("iron.radius", quantityOf(quantity.Length, within("0 mm", "250 mm")), "0 mm", "Radius of a steel disc behind each pixel; 0 mm is one sheet behind the whole grid."),
	given("iron.core_radius", quantityOf(quantity.Length, within("0 mm", "250 mm")), "0 mm", "Radius of a steel core through the coil's free middle; 0 mm is none."),
	given("iron.steel", choiceOf(material.SteelNames()...), usualSteel, "Kind of steel; it sets iron.mu_r."),
	follows("iron.mu_r", numberOf(within("1", "1000000")), "from iron.steel", "Relative permeability of the linear models.", fromSteel(func(d *Design, m material.Steel) { d.Iron.MuR = m.MuR })),
	follows("iron.factor", numberOf(within("0", "1")), "(µr−1)/(µr+1) of iron.mu_r",
		"Strength of the mirror image; give a number measured on the bench to override the permeability.", func(d *Design) { d.Iron.Factor = field.ImageFactor(d.Iron.MuR) }),
}

var magnetSettings = []of{
	given("magnet.kind", choiceOf(MagnetNone, MagnetPerPixel, MagnetSheet), string(MagnetNone), "Layout: none, one cylinder on each pixel's axis, or one sheet behind the whole grid."),
	given("magnet.grade", choiceOf(material.GradeNames()...), usualGrade, "Grade; it sets magnet.remanence, magnet.temp_coefficient and magnet.max_temp."),
	given("magnet.diameter", quantityOf(quantity.Length, above("0 mm", "500 mm")), "5 mm", "Diameter of the cylinder; kind pixel."),
	follows("magnet.width", quantityOf(quantity.Length, above("0 mm", "1000 m")), "the width of the grid", "Width of the sheet; kind sheet.", func(d *Design) { d.Magnet.Width, _ = d.Size() }),
	follows("magnet.height", quantityOf(quantity.Length, above("0 mm", "1000 m")), "the height of the grid", "Height of the sheet; kind sheet.", func(d *Design) { _, d.Magnet.Height = d.Size() }),
	given("magnet.length", quantityOf(quantity.Length, above("0 mm", "500 mm")), "1 mm", "Length along its magnetisation, from front to back."),
	follows("magnet.remanence", quantityOf(quantity.FluxDensity, within("-2 T", "2 T")), "from magnet.grade",
		"Remanence at 20 °C; positive puts the north pole towards the viewer.", fromGrade(func(d *Design, m material.Grade) { d.Magnet.Remanence = m.Remanence })),
	follows("magnet.temp_coefficient", quantityOf(quantity.PerKelvin, within("-2 %/K", "2 %/K")), "from magnet.grade",
		"Reversible change of the remanence with temperature.", fromGrade(func(d *Design, m material.Grade) { d.Magnet.TempCoefficient = m.TempCoefficient })),
	given("magnet.depth", quantityOf(quantity.Length, within("0 mm", "500 mm")), "0.2 mm", "From the board's back face to the magnet's front face."),
	follows("magnet.max_temp", quantityOf(quantity.Temperature, within("0 °C", "600 °C")), "from magnet.grade",
		"Highest temperature the grade stands.", fromGrade(func(d *Design, m material.Grade) { d.Magnet.MaxTemp = m.Limit })),
}
