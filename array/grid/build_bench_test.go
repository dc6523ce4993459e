package grid

import (
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
)

// The demo display with other coils and steels: how long a design takes to become
// computable. Lattice tables included.
func BenchmarkBuild(b *testing.B) {
	for _, c := range []struct {
		name    string
		changes []design.Change
	}{
		{"round/none", []design.Change{{Key: "iron.model", Value: "none"}, {Key: "iron.core_radius", Value: "0 mm"}}},
		{"round/slab", []design.Change{{Key: "iron.core_radius", Value: "0 mm"}}},
		{"round/fem", nil},
		{"square/none", []design.Change{{Key: "coil.shape", Value: "square"}, {Key: "iron.model", Value: "none"}, {Key: "iron.core_radius", Value: "0 mm"}}},
		{"square/slab", []design.Change{{Key: "coil.shape", Value: "square"}, {Key: "iron.core_radius", Value: "0 mm"}}},
		{"rounded-square/slab", []design.Change{{Key: "coil.shape", Value: "rounded-square"}, {Key: "coil.corner_radius", Value: "2 mm"}, {Key: "iron.core_radius", Value: "0 mm"}}},
		{"hexagon/slab", []design.Change{{Key: "coil.shape", Value: "hexagon"}, {Key: "iron.core_radius", Value: "0 mm"}}},
	} {
		d, err := trial.Lit().With(c.changes...)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				g, err := New(b.Context(), d, 0)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(1e12*g.Kernel.Error, "1e-12_error")
			}
		})
	}
}
