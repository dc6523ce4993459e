// Package studies answers "which value": the largest duty and voltage that heat
// allows, the least duty that holds, the supply, wires and drivers that a scene asks
// for, what drive modes and pulses cost. Each study plays or drives the display of its
// own; the player or grid that it is given is left as it was.
package studies
