package design

// This file is the only link to the tables of materials: their names, and the values
// a name fills in where the design gives none.

const (
	usualLaminate = "fr4"
	usualSteel    = "low-carbon"
	usualGrade    = "n35"
	usualFluid    = "oil-medium"
)

func laminates() []string { return []string{"fr4"} }
func steels() []string    { return []string{"low-carbon"} }
func grades() []string    { return []string{"n35"} }
func fluids() []string    { return []string{"oil-medium"} }

func fillConductivity(d *Design)    { d.Heat.BoardConductivity = 0.3 }
func fillBoardLimit(d *Design)      { d.Limits.Board = 403.15 }
func fillSteel(d *Design)           { d.Iron.MuR = 1000 }
func fillRemanence(d *Design)       { d.Magnet.Remanence = 1.2 }
func fillTempCoefficient(d *Design) { d.Magnet.TempCoefficient = -0.0011 }
func fillMaxTemp(d *Design)         { d.Magnet.MaxTemp = 353.15 }
func fillSusceptibility(d *Design)  { d.Fluid.Susceptibility = 1 }
func fillSaturation(d *Design)      { d.Fluid.Saturation = 20e3 }
func fillDensity(d *Design)         { d.Fluid.Density = 1200 }
func fillViscosity(d *Design)       { d.Fluid.Viscosity = 10e-3 }
func fillSurfaceTension(d *Design)  { d.Fluid.SurfaceTension = 10e-3 }
