package heat

// Sheet returns the conductance in W/K between neighbouring square pixels of a
// layer: conductivity (W/(m·K)) times thickness (m), whatever the pitch.
func Sheet(conductivity, thickness float64) float64 { return conductivity * thickness }

// Through returns the conductance in W/K through a slab: conductivity (W/(m·K))
// times area (m²) over thickness (m).
func Through(conductivity, area, thickness float64) float64 { return conductivity * area / thickness }

// Series returns the conductance of conductances one behind the other; 0 if any
// of them is 0.
func Series(conductances ...float64) float64 {
	sum := 0.0
	for _, g := range conductances {
		sum += 1 / g
	}
	return 1 / sum
}

// Capacity returns the heat capacity in J/K of a slab: volumetric heat capacity
// (J/(m³·K)), area (m²), thickness (m).
func Capacity(volumetric, area, thickness float64) float64 { return volumetric * area * thickness }

// Faces returns the films of the two sides of a board of a width and height in
// metres whose front looks the way given, with the lengths that the correlations
// take: the height of an upright board, area ÷ perimeter of a level one (J. R.
// Lloyd, W. R. Moran 1974), the longer side along a stream of air. Emissivity,
// air speed and insulation are the caller's to fill in.
func Faces(o Orientation, width, height float64) (front, back Film) {
	front = Film{Orientation: o, Length: height, FlowLength: max(width, height)}
	if o == FaceUp || o == FaceDown {
		front.Length = width * height / (2 * (width + height))
	}
	back = front
	back.Orientation = o.Opposite()
	return front, back
}
