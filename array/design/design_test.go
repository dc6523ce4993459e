package design

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"lodegrid/field/coil"
	"lodegrid/field/material"
)

// Every exported field of a Design has its key, named as the field, and no key is
// without its field.
func TestKeysMatchFields(t *testing.T) {
	want := []string{"name"}
	d := reflect.TypeFor[Design]()
	for i := range d.NumField() {
		f := d.Field(i)
		if f.Type.Kind() != reflect.Struct {
			continue
		}
		for j := range f.Type.NumField() {
			if g := f.Type.Field(j); !slices.Contains([]string{"Rules", "AmbientLow", "ContactLineMost"}, g.Name) { // heat.ambient and fluid.contact_line give both of their ends
				want = append(want, snake(f.Name)+"."+snake(g.Name))
			}
		}
	}
	want = append(want, "board.via_drill", "board.via_ring", "board.layers_on_offer", "board.rule.copper", "board.rule.track", "board.rule.gap")
	var got []string
	for _, e := range Explain() {
		got = append(got, e.Key)
		if e.Measure == "" || e.Default == "" || e.Accepts == "" || !strings.HasSuffix(e.Sentence, ".") {
			t.Errorf("%s is explained by %+v", e.Key, e)
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("keys\n got %v\nwant %v", got, want)
	}
	for _, s := range settings {
		if s.section() != "" && sectionSentence(s.section()) == "" {
			t.Errorf("%s stands in a section that is not listed", s.key)
		}
		if (s.source == "") != (s.derive == nil) && s.key != "coil.turns" {
			t.Errorf("%s is derived without saying from what, or the other way round", s.key)
		}
	}
}

func snake(name string) string {
	var b strings.Builder
	for i, r := range name {
		if unicode.IsUpper(r) && i > 0 {
			b.WriteByte('_')
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}

// The defaults shown are the defaults used: a file that states each of them gives
// the design of an empty file.
func TestDefaults(t *testing.T) {
	d := Default()
	if err := d.Check(); err != nil {
		t.Fatalf("the default design: %v", err)
	}
	file := ""
	for _, e := range Explain() {
		if s, ok := find(settings, e.Key); ok && s.source == "" {
			file += e.Key + " = " + e.Default + "\n"
		}
	}
	stated, err := Read("stated.toml", strings.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(stated, d) {
		t.Errorf("defaults stated:\n got %+v\nwant %+v", stated, d)
	}
	rules := coil.DefaultRules()
	if !reflect.DeepEqual(d.Board.Rules, rules) {
		t.Errorf("default rules %+v, want those of package coil %+v", d.Board.Rules, rules)
	}
	if e, ok := ExplainKey("coil.track"); !ok || e.Unit != "mm" || e.Measure != "length" {
		t.Errorf("ExplainKey(coil.track) = %+v, %v", e, ok)
	}
	if _, ok := ExplainKey("coil.nothing"); ok {
		t.Error("a key that is not there is explained")
	}
}

// The demo is 16 columns by 10 rows, upright, within the default rules of a board
// house, and its coil can be made.
func TestDemo(t *testing.T) {
	d := Demo()
	if d.Grid.Cols != 16 || d.Grid.Rows != 10 || d.Heat.Orientation != Vertical {
		t.Errorf("the demo is %d × %d, %s", d.Grid.Cols, d.Grid.Rows, d.Heat.Orientation)
	}
	spec := d.CoilSpec()
	c, err := coil.New(spec, coil.DefaultRules())
	if err != nil {
		t.Fatalf("the demo's coil under the default rules: %v", err)
	}
	if got := c.Spec().Inner; math.Abs(got-d.Coil.Inner) > 1e-12 {
		t.Errorf("inner size %v, the coil says %v", d.Coil.Inner, got)
	}
	a, b := DemoTOML(), DemoTOML()
	a[0] = '!'
	if b[0] == '!' || DemoTOML()[0] == '!' {
		t.Error("DemoTOML hands out its own memory")
	}
}

// A design written and read back is the same to the last bit, comments and all.
func TestRoundTrip(t *testing.T) {
	designs := []Design{Default(), lit(t)}
	for _, file := range sampleFiles(t, "valid") {
		d, err := ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		d.Folder = ""
		designs = append(designs, d)
	}
	rng := rand.New(rand.NewPCG(3, 4))
	base := lit(t)
	for range 30 {
		d := base
		d.Name = string([]rune{'"', '\\', 'é', '#', '\'', '=', 'x'}[:1+rng.IntN(7)])
		d.Coil.Turns = 1 + 15*rng.Float64()
		d.Board.Thickness = 2e-3 + 1e-3*rng.Float64()
		d.Heat.Ambient = 280 + 30*rng.Float64()
		d.Heat.AmbientLow = d.Heat.Ambient - 20*rng.Float64()
		d.Iron.MuR = 1 + 5000*rng.Float64()
		d.Iron.Factor = rng.Float64()
		d.Fluid.Viscosity *= 1 + rng.Float64()
		d.Magnet.TempCoefficient = -0.002 * rng.Float64()
		d.Scene.Level = 2*rng.Float64() - 1
		d.Scene.Seed = rng.Uint64() >> 1
		changed, err := d.With()
		if err != nil {
			t.Fatal(err)
		}
		if changed.Coil.Turns != d.Coil.Turns || changed.Iron.Factor != d.Iron.Factor || changed.Heat.Ambient != d.Heat.Ambient || changed.Fluid.Viscosity != d.Fluid.Viscosity {
			t.Fatalf("With() lost fields set by hand:\n got %+v\nwant %+v", changed, d)
		}
		designs = append(designs, changed)
	}
	for _, d := range designs {
		var b bytes.Buffer
		if err := d.WriteTOML(&b); err != nil {
			t.Fatal(err)
		}
		back, err := Read("written.toml", &b)
		if err != nil {
			t.Fatalf("%s written and read back: %v", d.Name, err)
		}
		if !reflect.DeepEqual(back, d) {
			t.Fatalf("written and read back:\n got %+v\nwant %+v", back, d)
		}
		written := string(d.Marshal())
		for _, s := range settings {
			if !strings.Contains(written, "\n"+s.name()+" = ") && !strings.Contains(written, "\n# "+s.name()+" = ") {
				t.Errorf("%s is not in the file written", s.key)
			}
		}
	}
	if err := Default().WriteTOML(brokenWriter{}); err == nil {
		t.Error("a writer that fails goes unnoticed")
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWith(t *testing.T) {
	base := Default()
	for _, c := range []struct {
		changes []Change
		value   func(Design) float64
		want    float64
	}{
		{[]Change{{"coil.turns", "12"}}, func(d Design) float64 { return d.Coil.Turns }, 12},
		{[]Change{{"coil.turns", "12"}}, func(d Design) float64 { return d.Coil.Inner }, 11e-3 - 2*101.6e-6 - 24*203.2e-6},
		// package coil decides where a spiral may end: 16.72 turns have room
		{[]Change{{"coil.inner", "4 mm"}}, func(d Design) float64 { return math.Floor(d.Coil.Turns) }, 16},
		{[]Change{{"coil.inner", "4 mm"}}, func(d Design) float64 { return d.Coil.Inner + 2*101.6e-6 + 2*203.2e-6*d.Coil.Turns }, 11e-3},
		// the track follows the rule for the copper
		{[]Change{{"board.copper_outer", "2 oz"}}, func(d Design) float64 { return d.Coil.Track }, 203.2e-6},
		// the mirror follows the permeability, a factor given does not
		{[]Change{{"iron.mu_r", "99"}}, func(d Design) float64 { return d.Iron.Factor }, 0.98},
		{[]Change{{"iron.mu_r", "99"}, {"iron.factor", "0.5"}}, func(d Design) float64 { return d.Iron.Factor }, 0.5},
		{[]Change{{"supply.voltage", "24 V"}}, func(d Design) float64 { return d.Drive.KickVoltage }, 24},
		{[]Change{{"grid.cols", "20"}}, func(d Design) float64 { return d.Magnet.Width }, 0.24},
		{[]Change{{"drive.max_duty", "25 %"}}, func(d Design) float64 { return d.Drive.MaxDuty }, 0.25},
		{[]Change{{"board.layers", "6"}}, func(d Design) float64 { return float64(d.Coil.Layers) }, 6},
		{[]Change{{"board.layers_on_offer", "2, 4"}}, func(d Design) float64 { return float64(len(d.Board.Rules.Layers)) }, 2},
		{[]Change{{"scene.seed", "77"}}, func(d Design) float64 { return float64(d.Scene.Seed) }, 77},
	} {
		d, err := base.With(c.changes...)
		if err != nil {
			t.Errorf("%v: %v", c.changes, err)
		} else if got := c.value(d); math.Abs(got-c.want) > 1e-12*math.Abs(c.want)+1e-12 {
			t.Errorf("%v: got %v, want %v", c.changes, got, c.want)
		}
	}
	// The longest text, and no list of nothing.
	for _, c := range []struct{ change, want string }{
		{"name=" + strings.Repeat("ä", 80), ""}, {"name=" + strings.Repeat("ä", 81), "name: 81 characters"},
		{"board.layers_on_offer=[]", "board.layers_on_offer: a list of 0"},
	} {
		key, value, _ := strings.Cut(c.change, "=")
		if _, err := base.With(Change{key, value}); (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %q", c.change, err, c.want)
		}
	}
	// What was set on purpose stays, also where it equals what it could follow.
	set, err := base.With(Change{"coil.track", "4 mil"})
	if err != nil {
		t.Fatal(err)
	}
	_, err = set.With(Change{"board.copper_outer", "2 oz"})
	if err == nil || !strings.Contains(err.Error(), "coil.track: ") {
		t.Errorf("4 mil asked for in 2 oz copper: error %v", err)
	}
	if !reflect.DeepEqual(base, Default()) {
		t.Error("With changed its receiver")
	}
	for changes, want := range map[string]string{
		"coil.trak=4 mil":     `coil.trak: unknown key; accepted: a key that ` + "`lodegrid design --explain`" + ` lists (did you mean "coil.track"?)`,
		"pitch=10 mm":         `pitch: unknown key; accepted: a key that ` + "`lodegrid design --explain`" + ` lists (did you mean "grid.pitch"?)`,
		"grid.pitch=10":       `grid.pitch: 10 has no unit of length; accepted: "10 mm" or with µm, m, cm, mil, in`,
		"grid.cols=many":      `grid.cols: this is the text "many"; accepted: a whole number, 1 or more`,
		"iron.factor=NaN":     `iron.factor: nan is not a finite number; accepted: a number, 0 to 1`,
		"grid.pitch = \"10\"": `grid.pitch: 10 has no unit of length; accepted: "10 mm" or with µm, m, cm, mil, in`,
		"grid.pitch = 10 mm ": `coil.outer: a coil of 11 mm is larger than the pitch of 10 mm; accepted: 9.898 mm or less, or a grid.pitch of 11.11 mm or more`,
	} {
		c, err := ParseChange(changes)
		if err != nil {
			t.Errorf("%s: %v", changes, err)
			continue
		}
		if _, err := base.With(c); err == nil || err.Error() != want {
			t.Errorf("%s:\n got %v\nwant %s", changes, err, want)
		}
	}
	for _, text := range []string{"", "coil.track", "=4 mil"} {
		if c, err := ParseChange(text); err == nil {
			t.Errorf("ParseChange(%q) = %+v", text, c)
		}
	}
}

// Check finds what a file could not have held.
func TestCheckByHand(t *testing.T) {
	for key, spoil := range map[string]func(*Design){
		"coil.turns": func(d *Design) { d.Coil.Turns = math.NaN() },
		"coil.outer": func(d *Design) { d.Coil.Outer = math.Inf(1) },
		"coil.shape": func(d *Design) { d.Coil.Shape = "star" },
		"grid.rows":  func(d *Design) { d.Grid.Rows = 0 },
		"board.rule[2].gap": func(d *Design) {
			d.Board.Rules.Tracks = slices.Clone(d.Board.Rules.Tracks)
			d.Board.Rules.Tracks[1].Gap = -1
		},
		"heat.ambient":       func(d *Design) { d.Heat.Ambient = 25 }, // °C where kelvin belong
		"scene.level":        func(d *Design) { d.Scene.Level = -2 },
		"scene.seed":         func(d *Design) { d.Scene.Seed = math.MaxUint64 },
		"name":               func(d *Design) { d.Name = "two\nlines" },
		"fluid.contact_line": func(d *Design) { d.Fluid.ContactLine = -1 },
	} {
		d := lit(t)
		spoil(&d)
		if err := d.Check(); err == nil || !strings.Contains(err.Error(), key+": ") {
			t.Errorf("%s spoiled: error %v", key, err)
		}
	}
}

func TestGeometry(t *testing.T) {
	d := lit(t)
	if p := d.PixelCenter(0, 0); p.X != -7.5*12e-3 || p.Y != 4.5*12e-3 || p.Z != 0 {
		t.Errorf("the top left pixel is at %v, want −90 mm, 54 mm", p)
	}
	var sum, low float64
	for row := range d.Grid.Rows {
		for col := range d.Grid.Cols {
			p := d.PixelCenter(row, col)
			sum += p.X + p.Y
			low = min(low, p.Y)
			if col > 0 && math.Abs(p.X-d.PixelCenter(row, col-1).X-d.Grid.Pitch) > 1e-15 {
				t.Errorf("pixel %d,%d is not a pitch right of its neighbour", row, col)
			}
		}
	}
	if math.Abs(sum) > 1e-12 || low != d.PixelCenter(d.Grid.Rows-1, 0).Y {
		t.Errorf("the grid is not centred, or its last row is not the lowest: sum %v", sum)
	}
	if d.Pixels() != 160 || d.Pixel(1, 2) != 18 {
		t.Errorf("%d pixels, pixel (1,2) is %d", d.Pixels(), d.Pixel(1, 2))
	}
	if w, h := d.Size(); math.Abs(w-0.192) > 1e-15 || math.Abs(h-0.12) > 1e-15 {
		t.Errorf("size %v × %v", w, h)
	}
	stack := d.Stack()
	if len(stack) != 8 {
		t.Fatalf("stack of %d", len(stack))
	}
	front, back := stack[0], stack[7]
	if math.Abs(front.Z+front.Copper/2) > 1e-15 || math.Abs(back.Z-back.Copper/2+d.Board.Thickness) > 1e-15 {
		t.Errorf("the stack does not fill the board: %v", stack)
	}
	if math.Abs(d.IronFront()+2.3e-3) > 1e-15 || math.Abs(d.MagnetCenter()+2.7e-3) > 1e-15 {
		t.Errorf("steel at %v, magnet at %v", d.IronFront(), d.MagnetCenter())
	}
}

// Sizes of the tables: NUMERICS gives 25.2 MB for 64 × 64.
func TestTableBytes(t *testing.T) {
	if got := tableBytes(64, 64); math.Abs(got-25.2e6) > 0.05e6 {
		t.Errorf("tables of 64 × 64 take %v bytes, want 25.2 MB", got)
	}
	if _, err := Default().With(Change{"grid.cols", "512"}, Change{"grid.rows", "512"}, Change{"tank.spacers", "60 mm"}); err != nil {
		t.Errorf("512 × 512: %v", err)
	}
	_, err := Default().With(Change{"grid.cols", "2147483647"}, Change{"grid.rows", "2147483647"})
	if err == nil || !strings.Contains(err.Error(), "TB of memory") {
		t.Errorf("a grid beyond any machine: %v", err)
	}
}

func TestManyErrors(t *testing.T) {
	_, err := Read("x.toml", strings.NewReader(manyKeys(2000)))
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != most+1 || !strings.HasPrefix(lines[most], "and ") {
		t.Errorf("%d lines, the last %q", len(lines), lines[len(lines)-1])
	}
}

// A name of a material fills in the table's values, each of which the design accepts;
// a value given wins; a wrong name is reported once.
func TestMaterials(t *testing.T) {
	for _, name := range material.LaminateNames() {
		m := material.LaminateNamed(name)
		d, err := Default().With(Change{"board.laminate", name}, Change{"board.layers", "1"}, Change{"board.layers_on_offer", "[1]"}, Change{"coil.layers", "1"})
		if err != nil || d.Limits.Board != m.Limit || d.Heat.BoardConductivity != m.InPlane {
			t.Errorf("laminate %s: %v, limit %v, conductivity %v", name, err, d.Limits.Board, d.Heat.BoardConductivity)
		}
	}
	// Metal leaves room for one layer, and that for it.
	for _, c := range []struct {
		changes []Change
		want    string
	}{
		{[]Change{{"board.laminate", "aluminium"}}, "board.layers = 1"},
		{[]Change{{"board.laminate", "aluminium"}, {"board.layers", "1"}, {"board.layers_on_offer", "[1]"}, {"coil.layers", "1"}, {"board.thickness", "0.13 mm"}}, "leaves no metal"},
	} {
		if _, err := Default().With(c.changes...); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v: %v, want %q in it", c.changes, err, c.want)
		}
	}
	for _, name := range material.SteelNames() {
		m := material.SteelNamed(name)
		d, err := Default().With(Change{"iron.steel", name})
		if err != nil || d.Iron.MuR != m.MuR || math.Abs(d.Iron.Factor-(m.MuR-1)/(m.MuR+1)) > 1e-15 {
			t.Errorf("steel %s: %v, µr %v, factor %v", name, err, d.Iron.MuR, d.Iron.Factor)
		}
	}
	for _, name := range material.GradeNames() {
		m := material.GradeNamed(name)
		d, err := Default().With(Change{"magnet.grade", name}, Change{"magnet.remanence", "1.111 T"})
		if err != nil || d.Magnet.Remanence != 1.111 || d.Magnet.TempCoefficient != m.TempCoefficient || d.Magnet.MaxTemp != m.Limit {
			t.Errorf("grade %s: %v, %+v", name, err, d.Magnet)
		}
		if d, err = d.With(Change{"magnet.grade", "y30"}); err != nil || d.Magnet.Remanence != 1.111 || d.Magnet.TempCoefficient != -0.002 {
			t.Errorf("grade %s changed to y30: %v, %+v", name, err, d.Magnet)
		}
	}
	for _, name := range material.FluidNames() {
		m := material.FluidNamed(name)
		d, err := Default().With(Change{"fluid.kind", name})
		if f := d.Fluid; err != nil || f.Susceptibility != m.Susceptibility || f.Saturation != m.Saturation || f.Density != m.Density ||
			f.Viscosity != m.Viscosity || f.SurfaceTension != m.InterfacialTension {
			t.Errorf("fluid %s: %v, %+v", name, err, d.Fluid)
		}
	}
	for _, key := range []string{"board.laminate", "iron.steel", "magnet.grade", "fluid.kind"} {
		_, err := Default().With(Change{key, "cheese"})
		var list Errors
		if !errors.As(err, &list) || len(list) != 1 || list[0].Key != key {
			t.Errorf("%s cheese: %v", key, err)
		}
	}
}

// The fluid's height and the rear pane follow from each other; what is set decides.
func TestHeightAndRearPane(t *testing.T) {
	for _, c := range []struct {
		set          []Change
		height, rear float64
	}{
		{nil, 2e-3, 1e-3},
		{[]Change{{"tank.rear", "1.5 mm"}}, 2.5e-3, 1.5e-3},
		{[]Change{{"tank.air_gap", "0.5 mm"}}, 2.5e-3, 1e-3},
		{[]Change{{"fluid.height", "3 mm"}}, 3e-3, 2e-3},
		{[]Change{{"fluid.height", "3 mm"}, {"fluid.tank_gap", "3 mm"}}, 3e-3, 1.5e-3},
		{[]Change{{"fluid.height", "3 mm"}, {"tank.rear", "2 mm"}}, 3e-3, 2e-3},
	} {
		d, err := lit(t).With(c.set...)
		if err != nil {
			t.Errorf("%v: %v", c.set, err)
			continue
		}
		if d.Fluid.Height != c.height || d.Tank.Rear != c.rear {
			t.Errorf("%v: height %g, rear pane %g, want %g and %g", c.set, d.Fluid.Height, d.Tank.Rear, c.height, c.rear)
		}
		thicker, err := d.With(Change{"tank.rear", "4 mm"})
		if err != nil || math.Abs(thicker.Fluid.Height-(d.Tank.AirGap+4e-3+d.Fluid.TankGap/2)) > 1e-12 {
			t.Errorf("%v, then a rear pane of 4 mm: height %g, %v", c.set, thicker.Fluid.Height, err)
		}
	}
}

// lit is the sign that other packages' tests know as trial.Lit.
func lit(t testing.TB) Design {
	t.Helper()
	d, err := ReadFile("../../testdata/command/lit.toml")
	if err != nil {
		t.Fatal(err)
	}
	d.Folder = ""
	return d
}

// Panes that touch, or bow as none can, are refused, and each change that is offered mends it.
func TestPanesThatTouchOrBowAway(t *testing.T) {
	with := func(changes []string) error {
		var list []Change
		for _, c := range changes {
			change, err := ParseChange(c)
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, change)
		}
		_, err := Demo().With(list...)
		return err
	}
	for _, c := range []struct {
		changes []string
		offers  int
	}{
		{[]string{"tank.front=1 µm"}, 1},
		{[]string{"heat.orientation=face-up", "tank.front=0.3 mm", "tank.front_material=polycarbonate", "fluid.tank_gap=0.1 mm", "fluid.height=1 mm"}, 2},
		{[]string{"tank.front=0.2 mm", "tank.front_material=acrylic", "grid.rows=20"}, 1},
		{[]string{"grid.cols=128", "grid.rows=128"}, 1},
	} {
		err := with(c.changes)
		if err == nil {
			t.Errorf("%q: no error", c.changes)
			continue
		}
		offers := regexp.MustCompile(`(tank\.\w+) = "([^"]+)"`).FindAllStringSubmatch(err.Error(), -1)
		if len(offers) != c.offers {
			t.Errorf("%q: %v: %d offers, want %d", c.changes, err, len(offers), c.offers)
		}
		for _, o := range offers {
			if err := with(append(c.changes, o[1]+"="+o[2])); err != nil {
				t.Errorf("%q with %s: %v", c.changes, o[0], err)
			}
		}
	}
}

// What a file says comes back as it was written, and what only follows from it in six digits:
// no 1.1949999999999998 T.
func TestWrittenNumbersAreShort(t *testing.T) {
	noise := regexp.MustCompile(`(?m)^(# )?[a-z_]+ = .*[0-9]{8}.*$`)
	for _, d := range []Design{Default(), Demo()} {
		text := string(d.Marshal())
		if found := noise.FindAllString(text, -1); found != nil {
			t.Error(found)
		}
		if !strings.Contains(text, "\n# remanence = \"1.195 T\"\n") {
			t.Error("the grade's remanence is not told")
		}
	}
}

// A list's values stand apart in what differs.
func TestDifferencesOfLists(t *testing.T) {
	a, b := Demo(), Demo()
	b.Board.Rules.Tracks = slices.Clone(a.Board.Rules.Tracks)
	b.Board.Rules.Tracks[0].Track *= 2
	list := Differences(a, b)
	if len(list) != 1 || len(strings.Split(list[0].Values[0], ", ")) != len(a.Board.Rules.Tracks) {
		t.Errorf("%q", list)
	}
}
