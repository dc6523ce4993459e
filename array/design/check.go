package design

import (
	"fmt"
	"math"
	"math/bits"
	"slices"

	"lodegrid/array/extent"
	"lodegrid/array/supply"
	"lodegrid/field/coil"
	"lodegrid/field/quantity"
	"lodegrid/field/tomlplace"
)

// check finds what is wrong between the values, each of which is within its own
// limits. Rules that need a value already found wrong are left out.
func (r *resolver) check() {
	r.checkGrid()
	r.checkCoil()
	r.checkPitch()
	r.checkIron()
	r.checkMagnet()
	r.checkDrive()
	r.checkFluid()
	r.checkHeat()
	r.checkPlanes()
	r.checkOrder()
	r.checkScene()
}

// fine reports whether none of the keys has a fault.
func (r *resolver) fine(keys ...string) bool {
	for _, k := range keys {
		if r.bad[k] {
			return false
		}
	}
	return true
}

// sectionFine reports whether no key of a section has a fault.
func (r *resolver) sectionFine(name string) bool {
	for _, s := range settings {
		if s.section() == name && r.bad[s.key] {
			return false
		}
	}
	return !r.bad[name] && !(name == "board" && r.bad[ruleKey])
}

func mm(v float64) string      { return quantity.Format(v, quantity.Length) }
func celsius(v float64) string { return quantity.Format(v, quantity.Temperature) }
func volts(v float64) string   { return quantity.Format(v, quantity.Voltage) }
func watts(v float64) string   { return quantity.Format(v, quantity.Power) }

func (r *resolver) checkGrid() {
	g := r.design.Grid
	for _, side := range []struct {
		key string
		n   int
	}{{"grid.cols", g.Cols}, {"grid.rows", g.Rows}} {
		if r.fine(side.key) && side.n > extent.MaxSide {
			r.fail(side.key, fmt.Sprintf("%d pixels along a side: the field tables of %d × %d pixels would take %s of memory",
				side.n, g.Cols, g.Rows, bytesText(tableBytes(g.Rows, g.Cols))), fmt.Sprintf("1 to %d", extent.MaxSide))
		}
	}
}

// tableBytes is the size of the superposition's tables: three components, eight by
// eight samples per pixel, the lattice padded to powers of two at twice its size.
func tableBytes(rows, cols int) float64 {
	padded := func(n int) float64 { return math.Ldexp(1, bits.Len(uint(2*n-1))) }
	return 3 * 64 * 8 * padded(rows) * padded(cols)
}

func bytesText(n float64) string {
	switch {
	case n < 1e9:
		return fmt.Sprintf("%.0f MB", n/1e6)
	case n < 1e12:
		return fmt.Sprintf("%.1f GB", n/1e9)
	}
	return fmt.Sprintf("%.3g TB", n/1e12)
}

// checkCoil asks package coil whether the coil can be made on this board, and fills
// in what that works out.
func (r *resolver) checkCoil() {
	d := &r.design
	if !r.sectionFine("board") {
		return
	}
	if err := d.Board.Rules.CheckBoard(d.Board.Layers); err != nil {
		r.coilFault(err, "board")
	}
	r.checkCopper("board.copper_outer", d.Board.CopperOuter)
	if d.Board.Layers > 2 {
		r.checkCopper("board.copper_inner", d.Board.CopperInner)
	}
	if _, err := d.stack(); err != nil {
		r.coilFault(err, "board")
	}
	if front, back, metal := d.MetalCore(); metal > 0 && r.fine("board.layers", "board.thickness") {
		if d.Board.Layers > 1 {
			r.fail("board.laminate", fmt.Sprintf("%s has metal behind its one copper layer, the board has %d", d.Board.Laminate, d.Board.Layers), "board.layers = 1 with board.layers_on_offer = [1], or another laminate")
		} else if front <= back {
			r.fail("board.thickness", fmt.Sprintf("%s leaves no metal behind copper and dielectric", mm(d.Board.Thickness)), "more than "+mm(-front))
		}
	}
	if r.fine("coil.layers") && d.Coil.Layers > d.Board.Layers {
		r.fail("coil.layers", fmt.Sprintf("%d layers on a board of %d", d.Coil.Layers, d.Board.Layers),
			fmt.Sprintf("1 to %d, or a board.layers of more", d.Board.Layers))
	}
	if !r.sectionFine("board") || !r.sectionFine("coil") {
		return
	}
	spec := d.CoilSpec()
	if r.given["coil.inner"] {
		spec.Inner = d.Coil.Inner // beside the turns it asks for a free middle
	}
	c, err := coil.New(spec, d.Board.Rules)
	if err != nil {
		r.coilFault(err, "coil")
		return
	}
	d.Coil.Turns = c.Spec().Turns
	if inner := c.Spec().Inner; math.Abs(inner-d.Coil.Inner) > 1e-9*d.Coil.Outer { // keep 3 mm as 3 mm
		d.Coil.Inner = math.Round(inner*1e12) / 1e12 // no picometres
	}
}

func (r *resolver) checkCopper(key string, copper float64) {
	if _, ok := r.design.Board.Rules.TrackRule(copper); ok || len(r.design.Board.Rules.Tracks) == 0 {
		return
	}
	thickest := 0.0
	for _, t := range r.design.Board.Rules.Tracks {
		thickest = max(thickest, t.CopperUpTo)
	}
	um := func(v float64) string { return quantity.FormatIn(v, quantity.CopperWeight, "µm") }
	r.fail(key, fmt.Sprintf("%s of copper; the board rules for track and gap end at %s", um(copper), um(thickest)),
		fmt.Sprintf("%s or thinner, or a [[board.rule]] for thicker copper", um(thickest)))
}

// checkOrder keeps the grid on its board.
func (r *resolver) checkOrder() {
	if !r.fine("grid.cols", "grid.rows", "grid.pitch") {
		return
	}
	w, h := r.design.Size()
	for _, side := range []struct {
		key        string
		have, need float64
	}{{"order.width", r.design.Order.Width, w}, {"order.height", r.design.Order.Height, h}} {
		if r.fine(side.key) && side.have < side.need*(1-1e-9) {
			r.fail(side.key, fmt.Sprintf("a board of %s is smaller than the grid of %s", mm(side.have), mm(side.need)), quantity.AtLeast(side.need, quantity.Length)+" or more")
		}
	}
}

// checkPitch keeps neighbouring coils off each other.
func (r *resolver) checkPitch() {
	d := r.design
	if d.Pixels() <= 1 || !r.fine("coil.outer", "coil.gap", "grid.pitch") {
		return
	}
	if most := d.Grid.Pitch - d.Coil.Gap; d.Coil.Outer > most*(1+1e-9) {
		problem := fmt.Sprintf("a coil of %s is larger than the pitch of %s", mm(d.Coil.Outer), mm(d.Grid.Pitch))
		if d.Coil.Outer <= d.Grid.Pitch {
			problem = fmt.Sprintf("coils of %s at a pitch of %s stand %s apart; the gap between tracks is %s",
				mm(d.Coil.Outer), mm(d.Grid.Pitch), mm(d.Grid.Pitch-d.Coil.Outer), mm(d.Coil.Gap))
		}
		accept := "a pitch larger than the gap between tracks"
		if most > 0 {
			accept = fmt.Sprintf("%s or less, or a grid.pitch of %s or more", quantity.AtMost(most, quantity.Length), quantity.AtLeast(d.Coil.Outer+d.Coil.Gap, quantity.Length))
		}
		r.fail("coil.outer", problem, accept)
	}
}

func (r *resolver) checkIron() {
	d := r.design
	if d.Iron.Model == IronNone || !r.sectionFine("iron") {
		return
	}
	if half := d.Grid.Pitch / 2; d.Iron.Radius > half && r.fine("grid.pitch") && d.Pixels() > 1 {
		r.fail("iron.radius", fmt.Sprintf("discs of %s radius overlap at a pitch of %s", mm(d.Iron.Radius), mm(d.Grid.Pitch)),
			fmt.Sprintf("%s or less, or 0 mm for one sheet", mm(half)))
	}
	if d.Iron.Model == IronSlab && (d.Iron.Radius > 0 || d.Iron.CoreRadius > 0) {
		r.fail("iron.model", "slab computes a wide sheet, and the steel is a disc or has a core", "auto, fem, or image with an iron.factor measured on the bench")
	}
	if !r.sectionFine("coil") || !r.sectionFine("board") || d.Iron.CoreRadius == 0 {
		return
	}
	if c, err := coil.New(d.CoilSpec(), d.Board.Rules); err == nil {
		r.checkCore(c)
	}
	if d.Iron.Radius > 0 && d.Iron.CoreRadius > d.Iron.Radius {
		r.fail("iron.core_radius", fmt.Sprintf("a core of %s is wider than its disc of %s radius", mm(d.Iron.CoreRadius), mm(d.Iron.Radius)),
			fmt.Sprintf("%s or less", quantity.AtMost(d.Iron.Radius, quantity.Length)))
	}
}

// checkCore keeps the core off the coil's copper.
func (r *resolver) checkCore(c *coil.Coil) {
	core := r.design.Iron.CoreRadius
	free := c.FreeRadius() - r.design.Board.HoleClearance
	if core <= free {
		return
	}
	problem := fmt.Sprintf("%s does not fit the coil's free middle of %s across", mm(core), mm(c.Spec().Inner))
	if core < c.Spec().Inner/2 {
		problem = fmt.Sprintf("%s runs into the vias in the coil's middle, whose copper begins %s from the axis and asks for a clearance of %s", mm(core), mm(c.FreeRadius()), mm(r.design.Board.HoleClearance))
	}
	accept := "0 mm for none, or a coil with a wider middle (fewer turns, coil.inner)"
	if down := math.Floor(free*1e5*(1-1e-9)) / 1e5; down > 0 { // to hundredths of a millimetre
		accept = fmt.Sprintf("%s or less, or 0 mm for none", mm(down))
	}
	r.fail("iron.core_radius", problem, accept)
}

func (r *resolver) checkMagnet() {
	d := r.design
	m := d.Magnet
	if m.Kind == MagnetNone || !r.sectionFine("magnet") {
		return
	}
	if m.Kind == MagnetPerPixel && d.Pixels() > 1 && r.fine("grid.pitch") && m.Diameter > d.Grid.Pitch {
		r.fail("magnet.diameter", fmt.Sprintf("magnets of %s overlap at a pitch of %s", mm(m.Diameter), mm(d.Grid.Pitch)),
			fmt.Sprintf("%s or less", quantity.AtMost(d.Grid.Pitch, quantity.Length)))
	}
	if r.fine("heat.ambient") && m.MaxTemp <= d.Heat.Ambient {
		r.fail("magnet.max_temp", fmt.Sprintf("%s is no higher than the ambient temperature of %s", celsius(m.MaxTemp), celsius(d.Heat.Ambient)),
			"more than heat.ambient")
	}
	if d.Iron.Model == IronNone || !r.sectionFine("iron") {
		return
	}
	// Distances behind the board's back face.
	front, back := m.Depth, m.Depth+m.Length
	steelFront, steelBack := d.Iron.Gap, d.Iron.Gap+d.Iron.Thickness
	const slack = 1e-9 // m
	behind := fmt.Sprintf("magnet.depth %s or more to put it behind the steel, %s", mm(steelBack), d.screened(steelBack))
	switch {
	case front >= steelBack-slack:
	case back > steelFront+slack:
		accept := behind
		if steelFront > 0 {
			accept = fmt.Sprintf("magnet.depth + magnet.length of %s or less to put it in front of the steel, or %s", mm(steelFront), behind)
		}
		r.fail("magnet.depth", fmt.Sprintf("the magnet reaches from %s to %s behind the board and the steel from %s to %s: they overlap",
			mm(front), mm(back), mm(steelFront), mm(steelBack)), accept)
	case d.Iron.CoreRadius > 0:
		r.fail("magnet.depth", fmt.Sprintf("a magnet in front of the steel stands where the core of %s radius passes", mm(d.Iron.CoreRadius)),
			"iron.core_radius 0 mm, or "+behind)
	}
}

func (r *resolver) checkDrive() {
	d := r.design
	if r.fine("drive.kick_voltage", "supply.voltage", "drive.mode") && d.Drive.Mode == DriveKick && d.Drive.KickVoltage < d.Supply.Voltage {
		r.fail("drive.kick_voltage", fmt.Sprintf("a kick of %s is weaker than the supply of %s", volts(d.Drive.KickVoltage), volts(d.Supply.Voltage)),
			quantity.AtLeast(d.Supply.Voltage, quantity.Voltage)+" or more")
	}
	if d.Drive.Mode == DriveKick && r.fine("drive.kick_time", "drive.mode") && d.Drive.KickTime == 0 {
		r.fail("drive.kick_time", "0 s is no kick", "more than 0 s, or another drive.mode")
	}
	if r.fine("drive.scan_rows", "grid.rows") && d.Drive.ScanRows > d.Grid.Rows {
		r.fail("drive.scan_rows", fmt.Sprintf("%d rows at once of %d", d.Drive.ScanRows, d.Grid.Rows), fmt.Sprintf("1 to %d, the grid's rows", d.Grid.Rows))
	}
	if n := d.Drive.InSeries; n > 1 {
		if r.fine("drive.in_series", "grid.cols") && d.Grid.Cols%n != 0 {
			r.fail("drive.in_series", fmt.Sprintf("rows of %d pixels are not whole strings of %d coils", d.Grid.Cols, n), "a divisor of grid.cols")
		}
		if r.fine("drive.in_series", "drive.mode") && d.Drive.Mode == DriveScan {
			r.fail("drive.in_series", "mode scan has a line for every row and column, and no string of its own", "1, or another drive.mode")
		}
		if r.fine("drive.in_series", "scene.carry") && d.Scene.Carry {
			r.fail("drive.in_series", "scene.carry moves drops from pixel to pixel, which takes a driver for each: coils in series light together", "1, or scene.carry = false with pictures whose strings light together")
		}
		if r.fine("drive.in_series", "drive.most_lit") && d.Drive.MostLit < n {
			r.fail("drive.in_series", fmt.Sprintf("the firmware lights %d at most (drive.most_lit), fewer than a string of %d coils", d.Drive.MostLit, n), "drive.most_lit or fewer")
		}
	}
	if drop := d.PathDrop(); r.fine("drive.scan_diode", "drive.kick_voltage", "drive.mode", "drive.bridge") && drop > 0 && drop >= d.Drive.KickVoltage {
		r.fail("drive.scan_diode", fmt.Sprintf("%s at each coil's diode leave nothing of the rows' %s", volts(drop), volts(d.Drive.KickVoltage)), "less than drive.kick_voltage")
	}
	r.checkDriver()
	rail, key := d.Rail(), "supply.voltage"
	if d.Drive.Mode == DriveScan {
		key = "drive.kick_voltage"
	}
	switch usb := d.Supply.Kind == supply.USBPD && r.fine(key, "supply.kind"); {
	case usb && slices.Contains(supply.USBPD.Voltages(), rail):
		ports := supply.USBPD.Powers(rail)
		most := ports[len(ports)-1]
		whole := func(port float64) bool { n := d.Supply.Power / port; return math.Abs(n-math.Round(n)) < 1e-6 }
		if r.fine("supply.power") && d.Supply.Power > most && !slices.ContainsFunc(ports, whole) {
			r.fail("supply.power", fmt.Sprintf("a port of USB Power Delivery gives %s at most at %s, whatever it gives at 20 V", watts(most), volts(rail)),
				fmt.Sprintf("up to %s, or as many times that as there are ports", watts(most)))
		}
	case usb:
		r.fail(key, volts(rail)+" is no fixed voltage of USB Power Delivery", `"5 V", "9 V", "15 V" or "20 V", or supply.kind = "usual"`)
	}
	if r.fine("supply.droop", "supply.voltage") && d.Supply.Droop >= d.Supply.Voltage {
		r.fail("supply.droop", fmt.Sprintf("%s is the whole supply of %s", volts(d.Supply.Droop), volts(d.Supply.Voltage)), "less than supply.voltage")
	}
	if r.fine("scene.level", "drive.bridge") && d.Drive.Bridge == BridgeLowSide && d.Scene.Level < 0 {
		r.fail("scene.level", fmt.Sprintf("%s reverses the current, which a low-side bridge cannot", tomlplace.Number(d.Scene.Level)),
			`0 to 1, or drive.bridge = "h-bridge"`)
	}
}

// checkDriver keeps the PWM within what the driver can switch.
func (r *resolver) checkDriver() {
	d := r.design.Drive
	hertz := func(v float64) string { return quantity.Format(v, quantity.Frequency) }
	if edges := 2 * d.EdgeTime; r.fine("drive.frequency", "drive.edge_time") && edges*d.Frequency >= 1 {
		r.fail("drive.frequency", fmt.Sprintf("a period of %s is no longer than the driver's two edges of %s",
			quantity.Format(1/d.Frequency, quantity.Time), quantity.Format(d.EdgeTime, quantity.Time)), "less than "+hertz(1/edges)+", or a shorter drive.edge_time")
	}
	if most := d.DriverFrequency; r.fine("drive.frequency", "drive.driver_frequency") && most > 0 && d.Frequency > most {
		r.fail("drive.frequency", hertz(d.Frequency)+" is more than the driver switches", "up to drive.driver_frequency of "+hertz(most))
	}
}

func (r *resolver) checkFluid() {
	f := r.design.Fluid
	if r.fine("fluid.density", "fluid.density_difference") && f.DensityDifference >= f.Density {
		r.fail("fluid.density_difference", fmt.Sprintf("%s leaves nothing of the fluid's %s for the liquid round it",
			quantity.Format(f.DensityDifference, quantity.Density), quantity.Format(f.Density, quantity.Density)), "less than fluid.density")
	}
	r.checkTank()
}

// checkTank checks what the panes leave for the fluid.
func (r *resolver) checkTank() {
	d := r.design
	f, t := d.Fluid, d.Tank
	switch middle := t.middle(f.TankGap); {
	case !r.fine("fluid.height", "fluid.tank_gap", "tank.air_gap"):
	case f.Height < (f.TankGap/2+t.AirGap)*(1-1e-9):
		r.fail("fluid.height", fmt.Sprintf("a tank %s deep with its middle %s in front of the board reaches into the board", mm(f.TankGap), mm(f.Height)),
			fmt.Sprintf("%s or more, or a shallower fluid.tank_gap", mm(f.TankGap/2+t.AirGap)))
	case r.fine("tank.rear") && math.Abs(f.Height-middle) > 1e-9:
		r.fail("fluid.height", fmt.Sprintf("%s is not where the panes put the fluid's middle: %s of air, a rear pane of %s and half of the tank's %s", mm(f.Height), mm(t.AirGap), mm(t.Rear), mm(f.TankGap)),
			fmt.Sprintf("%s, or leave out fluid.height or tank.rear", mm(middle)))
	case r.fine("tank.rear") && t.Rear == 0 && t.AirGap > 0:
		r.fail("tank.air_gap", "air behind a tank that the board closes", "0 mm, or tank.rear above 0 mm")
	}
	if r.fine("fluid.tank_gap", "grid.pitch") && f.TankGap > d.Grid.Pitch {
		r.fail("fluid.tank_gap", fmt.Sprintf("a tank %s deep in front of pixels %s apart holds no flat drops", mm(f.TankGap), mm(d.Grid.Pitch)), "grid.pitch or less")
	}
	r.checkFill()
	if r.fine("tank.spacers", "grid.pitch") && t.Spacers > 0 && t.Spacers < d.Grid.Pitch*(1-1e-9) {
		r.fail("tank.spacers", fmt.Sprintf("spacers %s apart stand in the drops of pixels %s apart", mm(t.Spacers), mm(d.Grid.Pitch)), "0 mm for none, or grid.pitch or more")
	}
	if r.fine("tank.bottom", "grid.pitch") && t.Bottom > Surround*d.Grid.Pitch*(1+1e-9) {
		r.fail("tank.bottom", mm(t.Bottom)+" is deeper than the field is worked out", "up to grid.pitch, "+mm(Surround*d.Grid.Pitch))
	}
	r.checkPanes()
}

// checkFill checks that the fluid has room, and a place to start at.
func (r *resolver) checkFill() {
	d := r.design
	f := d.Fluid
	if !r.sectionFine("grid") || !r.fine("fluid.tank_gap", "fluid.volume", "fluid.start", "heat.orientation", "tank.room") {
		return
	}
	ml := func(v float64) string { return quantity.Format(v, quantity.Volume) }
	w, h := d.Size()
	if most := (1 - d.Tank.Room) * w * h * f.TankGap; f.Volume > most {
		r.fail("fluid.volume", ml(f.Volume)+" is more than there is between the panes in front of the pixels, without the air", "up to "+ml(0.99*most)) // printed with three digits, below the bound
	}
	at, err := d.StartAt()
	switch {
	case err != nil:
		r.fail("fluid.start", err.Error(), "picture, pool, or row,column of pixels as in 1,1 2,3")
	case f.Start == StartPool && d.Heat.Orientation != Vertical:
		r.fail("fluid.start", "no pool gathers in a tank that lies", "picture, pixels, or heat.orientation vertical")
	case at != nil && f.Volume > 0 && r.fine("fluid.drop_diameter") && float64(len(at))*f.drop() > f.Volume*(1+1e-9):
		r.fail("fluid.volume", fmt.Sprintf("%s is less than the %d drops of fluid.start", ml(f.Volume), len(at)), quantity.AtLeast(float64(len(at))*f.drop(), quantity.Volume)+" or more, or 0 mL")
	}
}

func (r *resolver) checkHeat() {
	d := r.design
	// In air above the touch limit the display is too hot as it hangs; the report says so.
	if board := d.Limits.Board; r.fine("limits.board", "heat.ambient") && board <= d.Heat.Ambient {
		r.fail("limits.board", fmt.Sprintf("%s is no higher than the ambient temperature of %s", celsius(board), celsius(d.Heat.Ambient)), "more than heat.ambient")
	}
	r.checkBack()
}

// checkBack checks what is behind the display.
func (r *resolver) checkBack() {
	h := r.design.Heat
	const least = 1e-5 // m
	if h.Gapped() && r.fine("heat.back", "heat.back_gap", "heat.air_flow") && h.BackGap < least {
		what := "wall"
		if h.Back == BackCase {
			what = "case"
		}
		r.fail("heat.back_gap", "no air between the back and the "+what, fmt.Sprintf("%s or more, or heat.back clamped for a back that touches", mm(least)))
	}
	if h.AirFlow > 0 && r.fine("heat.back", "heat.air_flow") && h.Back != BackFan && h.Back != BackWall {
		r.fail("heat.air_flow", fmt.Sprintf("air blown through the gap behind a display with heat.back %s", h.Back), "0 m³/h, or heat.back fan or wall")
	}
	if h.Back == BackFan && r.fine("heat.back", "heat.air_speed", "heat.air_flow", "heat.back_gap") && h.AirSpeed == 0 && h.AirFlow == 0 {
		r.fail("heat.back", "a fan that moves no air", "heat.air_speed above 0 m/s or heat.air_flow above 0 m³/h, or another heat.back")
	}
	width, height := r.design.Size()
	const fastest = 50 // m/s, what heat.air_speed may be
	if most := fastest * h.BackGap * height; h.AirFlow > most && most > 0 && !r.given["heat.air_speed"] && r.fine("heat.air_flow", "heat.back_gap", "grid.rows", "grid.pitch") {
		r.fail("heat.air_flow", fmt.Sprintf("%s through a gap of %s by %s", quantity.Format(h.AirFlow, quantity.Flow), mm(h.BackGap), mm(height)),
			fmt.Sprintf("%s or less, at which it is as fast as %d m/s", quantity.Format(most, quantity.Flow), fastest))
	}
	if (h.Back == BackCase || h.Back == BackSealed) && r.sectionFine("grid") && r.fine("heat.back", "heat.case_width", "heat.case_height") {
		for _, c := range []struct {
			key        string
			size, grid float64
		}{{"heat.case_width", h.CaseWidth, width}, {"heat.case_height", h.CaseHeight, height}} {
			if c.size < c.grid*(1-1e-9) {
				r.fail(c.key, fmt.Sprintf("%s is smaller than the display of %s", mm(c.size), mm(c.grid)), quantity.AtLeast(c.grid, quantity.Length)+" or more")
			}
		}
	}
}

func (r *resolver) checkScene() {
	s := r.design.Scene
	if !r.sectionFine("scene") {
		return
	}
	if s.Kind == sceneFile && s.File == "" {
		r.fail("scene.file", "no file is named", `a path in quotes, or another scene.kind`)
	}
	if s.Kind == sceneTicker && s.Text == "" {
		r.fail("scene.text", "a ticker has nothing to show", "a text in quotes, or another scene.kind")
	}
	if s.Duration > 0 && s.FrameTime > s.Duration {
		r.fail("scene.frame_time", fmt.Sprintf("a frame of %s is longer than the scene of %s",
			quantity.Format(s.FrameTime, quantity.Time), quantity.Format(s.Duration, quantity.Time)), "scene.duration or less")
	}
	if s.FrameTime > 0 && s.Duration/s.FrameTime > maxFrames {
		r.fail("scene.frame_time", fmt.Sprintf("%.3g frames", s.Duration/s.FrameTime), fmt.Sprintf("a scene of %d frames or fewer", maxFrames))
	}
}

// maxFrames bounds a scene's length.
const maxFrames = 1_000_000
