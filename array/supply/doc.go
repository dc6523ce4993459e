// Package supply proposes a power supply, capacitors, feeders and fuses for a grid
// from what the grid draws, and says for every figure how it came about.
//
// A proposal covers the low-voltage side only, up to 60 V. The mains side is left to
// the supply's maker, local codes and a licensed electrician, and the cautions say so.
//
// What is behind the figures:
//
//   - ratings of supplies, fuses and capacitors: ladders of what is usually sold,
//     common practice, no source
//   - feeders: nominal cross-sections and the highest resistance at 20 °C of flexible
//     (class 5) plain copper conductors of IEC 60228, as quoted by secondary sources
//   - current-carrying capacity: DIN VDE 0298-4 table 11, two or three loaded cores
//     on a surface in air of 30 °C, conductors of up to 70 °C, as quoted by secondary
//     sources; for guidance, not in place of the code that applies
//
// The package imports nothing of the project. SI units: volts, amperes, watts,
// ohms, farads, seconds, metres, kelvin; cross-sections in square metres.
package supply
