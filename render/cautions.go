package render

import (
	"fmt"

	"lodegrid/field/quantity"
	"lodegrid/scenes/verdict"
)

// caution words a warning.
func caution(c verdict.Caution) Caution {
	out := Caution{Key: string(c.Kind), Text: c.Text, Found: c}
	switch c.Kind {
	case verdict.NeverCools:
		out.Text = "Hot surface, fire: a display driven like this never stops heating. Do not build it."
	case verdict.HotSurface:
		out.Text = fmt.Sprintf("Hot surface: up to %s. Contact burns begin near 43 °C for hours and 51 °C for a minute (ISO 13732-1, from memory); guard what people can reach.", celsius(c.Value))
	case verdict.BoardBurns:
		out.Text = fmt.Sprintf("The board passes its limit (%s of %s): the laminate chars, and may burn, in time. Fit a thermal cut-out whatever you change.", celsius(c.Value), celsius(c.Limit))
	case verdict.BoardNear:
		out.Text = fmt.Sprintf("The board comes within 20 K of its limit (%s of %s): leave a margin for dust, sun and a blocked draught, and fit a thermal cut-out.", celsius(c.Value), celsius(c.Limit))
	case verdict.Implants:
		where := "nearer than " + quantity.Format(c.Value, quantity.Length)
		if c.Beyond {
			where = "up to " + quantity.Format(c.Value, quantity.Length)
		}
		out.Text = fmt.Sprintf("Magnetic field: with every pixel on it may exceed 0.5 mT %s in front of the board; people with implanted electronic devices stay farther away (ICNIRP 2009).", where)
	case verdict.Pinching:
		out.Text = "Strong magnets pinch, shatter and wipe cards; keep them from children, who must never swallow one."
	case verdict.MetalBoard:
		out.Text = "The board's metal is a shorted turn to fast changes. Inductance, ripple and their heat count its eddy currents under one coil alone, in a plate without edges or holes but a core's; what coils do to each other through it is left out."
		if c.Value > 0 {
			out.Text += fmt.Sprintf(" A round coil of the same area stands for this one, %s of the inductance off over a perfect conductor.", percent(c.Value))
		}
		out.Text += " Measure a coil's inductance at drive.frequency before anything is ordered."
	case verdict.Still:
		out.Text = "The scene's picture never changes: no drop has to move in it, and nothing here tells that one would. Judge a scene that moves too, a longer scene.duration or --scene walk."
	case verdict.Unled:
		out.Text = "The board cannot be drawn, so that no figure counts what leads from the coils to their drivers, and lodegrid order writes nothing: " + c.Text + "."
	case verdict.FarDrivers:
		out.Text = fmt.Sprintf("Where the drivers sit is left open (drive.place), so that no figure counts what lies between a coil's two holes and its driver: %s of tracks or wires take 1 %% of its current, and about 2 %% of the pull.", quantity.Format(c.Value, quantity.Resistance))
	case verdict.Uncertified:
		out.Text = "These figures are computed, not certified. Build one pixel and measure it before ordering many boards; ± in lodegrid report tells by how much each may be off, --doubt of what shows, too."
	}
	return out
}
