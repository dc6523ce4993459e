package render

import (
	"context"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/pixel"
	"lodegrid/field/quantity"
)

// ironHeights are the heights at which the models of the steel are compared, m.
var ironHeights = []float64{1e-3, 2e-3, 3e-3, 4e-3, 6e-3, 10e-3}

// IronModelsSection is the field on a pixel's axis with every model of its steel, and
// by how much each is off the finite elements, or the slab where those cannot run.
func IronModelsSection(ctx context.Context, d design.Design, p pixel.Pixel) (Section, error) {
	c, err := pixel.CompareIron(ctx, d, p, ironHeights)
	if err != nil {
		return Section{}, err
	}
	best := c.Best()
	s := Section{Key: "iron_models", Title: "The steel, model by model"}
	t := Table{Key: "models", Title: fmt.Sprintf("Bz on the axis at %s", quantity.Format(c.Current, quantity.Current)), Columns: []Column{{"height_m", "height"}}}
	for m, name := range c.Models {
		t.Columns = append(t.Columns, Column{string(name) + "_t", string(name)}, Column{string(name) + "_off", "against " + string(c.Models[best])})
		if m == best {
			t.Columns = t.Columns[:len(t.Columns)-1]
		}
		s.Facts = append(s.Facts, Words(string(name)+"_note", string(name), c.Notes[m]))
	}
	for k, z := range c.Heights {
		row := []Cell{In(z, quantity.Length)}
		for m := range c.Models {
			row = append(row, In(c.Axial[m][k], quantity.FluxDensity))
			if m != best {
				row = append(row, Cell{c.Off(m, k), fmt.Sprintf("%+.1f %%", 100*c.Off(m, k))})
			}
		}
		t.Rows = append(t.Rows, row)
	}
	s.Tables = []Table{t}
	s.Facts = append(s.Facts, steelModel("runs", "the design runs", p.Iron.Model))
	s.Notes = append(s.Notes, "The plain mirror image is up to 31 % too strong on a disc of the coil's size and up to 50 % too weak with a core, by independent finite elements (testdata/iron); only a wide, thick, plain plate is a mirror.")
	if !p.Coil.Radial() {
		s.Notes = append(s.Notes, fmt.Sprintf("The finite elements are round about the axis; a %s coil has to do with iron.model slab.", d.Coil.Shape))
	}
	return s, nil
}
