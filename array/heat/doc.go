// Package heat computes how hot a display gets: a network of thermal nodes, one
// stack per pixel (coil, board, back plate, up to four layers), warmed by the
// coils and cooled by air and radiation.
//
// For layer l of pixel p, with the temperature T in kelvin,
//
//	C dT/dt = P(T)                                   heat made in the coil
//	        + Σ G_lateral (T_neighbour − T)          conduction in the layer
//	        + Σ G_down (T_other layer − T)           conduction through the stack
//	        − Σ A_f q_f(T)                           loss at the exposed faces
//	q_f(T)  = h(T, T_air) (T_s − T_air) + ε σ (T_s⁴ − T_sur⁴)
//
// h comes from published correlations for natural convection by orientation and
// forced flow along a plate (convection.go), with the properties of air at the
// film temperature (air.go). A pane or other insulation in series with a face
// makes its surface temperature T_s differ from the node's (film.go).
//
// P(T) is given by the caller as a [Load], with its slope: copper gains
// resistance when it warms, so a coil driven by a constant current heats more
// the hotter it is. Where that slope exceeds what conducts the heat away the
// temperature runs away; the package says so instead of hiding it.
//
// A network is stepped through time with [Network.Step] and solved for its steady
// state with [Network.Steady]. Two schemes serve one interface and the step length
// decides between them (step.go): a splitting into tridiagonal sweeps for steps of
// about a frame, and a linearly implicit method for longer ones.
//
// Pixel arrays are row-major, index row*Cols + col, row 0 at the top of the
// picture. Temperatures are in kelvin. A Network is not safe for concurrent use.
package heat
