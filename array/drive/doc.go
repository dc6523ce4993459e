// Package drive computes the current in every pixel's coil and what the grid
// takes from its supply: PWM through a low-side switch or a full bridge, pixels
// in phase, staggered, scanned row by row, or kicked and held.
//
// A coil of resistance R and inductance L behind switches of resistance Ron obeys
//
//	on    L di/dt = V − (R + Ron) i          current from the rail
//	off   L di/dt = −Vd − R i, i ≥ 0         low side, through the freewheel diode
//	off   L di/dt = −(R + Ron) i             full bridge, slow decay in the switches
//
// (textbook first-order circuits); with a diode that drops Vs in series with the coil, V is
// less by it and Vd more, on the low side. Each stretch is an exponential, so a PWM period
// is solved in closed form, and so are the periods until the current has settled:
// nothing here steps through time within a period, and L/R may be far shorter or
// far longer than the period. A current that dies out before the next period
// (discontinuous conduction) is taken at its exact time.
//
// The package imports nothing of the project. SI units throughout: volts, amperes,
// ohms, henries, seconds, watts. Arrays hold one value per pixel, row-major, row 0
// at the top of the picture.
//
// Left out: switching losses and dead time of the driver, the change of inductance
// with current in a coil on saturated steel, and the coupling between neighbouring
// coils on outputs of their own.
package drive
