package drive

// PixelState is one pixel over one frame (or over one period once settled).
//
// Power is exactly Copper + Switch + Diode + Stored: what the rails give is lost or
// kept in the coil. Of a string's output and its current from the rail each of its pixels has
// an equal part.
type PixelState struct {
	Level   float64 // −1…1, as commanded
	Average float64 // A, signed: what the field follows
	RMS     float64 // A: what heats the copper
	Min     float64 // A, signed, lowest at any instant
	Max     float64 // A, signed, highest at any instant
	End     float64 // A, signed, at the end: where the next frame starts

	RailAverage  float64 // A, mean taken from the supply rail
	BoostAverage float64 // A, mean taken from the kick or scan rail; 0 when there is none
	Power        float64 // W, mean taken from both rails
	Copper       float64 // W, heat in the coil, and by its ripple in the steel about it
	Steel        float64 // W, of that in the steel
	Switch       float64 // W, heat in the driver's switches
	Diode        float64 // W, heat in the diodes: the freewheel diode and the one in the coil's path
	OnBoard      float64 // W, of that in the one in the coil's path, which heats the board there
	Stored       float64 // W, mean growth of the energy in the coil; 0 once settled

	KickLeft      float64 // s, of a kick that the frame's end cut off
	Discontinuous bool    // the current died out within some period
}
