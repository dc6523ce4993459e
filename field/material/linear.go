package material

import "lodegrid/field"

// Linear is how many times its value at 20 °C a quantity has at the absolute temperature
// tempK that changes by a coefficient in 1/K, relative to that value: a conductor's
// resistance (IEC 60028), a magnet's remanence.
func Linear(coefficient, tempK float64) float64 {
	return 1 + coefficient*(tempK-field.RoomTemperature)
}
