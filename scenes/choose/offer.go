package choose

import (
	"bytes"
	"cmp"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"lodegrid/field/coil"
	"lodegrid/field/quantity"
	"lodegrid/field/regularfile"
	"lodegrid/field/tomlplace"
	"lodegrid/scenes"
)

// Goal is by which objective the front is ranked.
type Goal string

// The goals.
const (
	Price Goal = "price" // the cheapest first
	Pull  Goal = "pull"  // the strongest
	Heat  Goal = "heat"  // the coolest
	Time  Goal = "time"  // the quickest to hand a drop over
)

// Goals are all of them.
var Goals = []Goal{Price, Pull, Heat, Time}

// Offer is what may be chosen from, and prices in one currency. Lengths in m.
type Offer struct {
	Best Goal
	// Move is the time in s that a drop may take to its neighbour; 0 takes the scene's
	// frame time.
	Move float64

	Boards []Board
	Copper []Copper

	Thickness         []float64 // of the board
	ViaDrill, ViaRing float64
	HolePrice         float64

	Space      []float64 // between two coils
	Wider      []float64 // track over the narrowest
	Further    []float64 // gap between turns over the narrowest
	Inner      []float64 // 0…1, least free middle over the outside size
	FreeLayers []int
	Groups     []int // of layers in parallel

	Sheet, Core          []float64 // thickness and radius; 0 for none
	SheetPrice, PinPrice float64   // per m², each

	Magnet      []float64 // length; 0 for none
	MagnetWide  []float64 // diameter
	MagnetPrice float64

	Duty        []float64 // 0…1
	DriverPrice float64
	Supplies    []Supply
}

// Board is a number of layers on offer. Lengths in m.
type Board struct {
	Layers                int
	AreaPrice, OrderPrice float64   // per m², once
	Thickness             []float64 // none: the offer's
	ViaDrill, ViaRing     float64   // 0: the offer's
}

// Copper is a copper weight on offer, m, with what is etched in it at a price. All layers are
// alike, so that the wider of what is etched outside and inside counts where a board has both.
type Copper struct {
	Weight               float64
	Track, Gap           float64
	InnerTrack, InnerGap float64
	Factor               float64 // on the board's price by area
	Layers               []int   // the boards that it is etched on so; none: all
}

// on tells whether it is etched on boards of so many layers.
func (c *Copper) on(layers int) bool { return len(c.Layers) == 0 || slices.Contains(c.Layers, layers) }

// least are the narrowest track and gap on a board of so many layers, m.
func (c *Copper) least(layers int) (track, gap float64) {
	if layers <= 2 {
		return c.Track, c.Gap
	}
	return max(c.Track, c.InnerTrack), max(c.Gap, c.InnerGap)
}

// Supply is one on offer: V, W.
type Supply struct{ Volts, Power, Price float64 }

//go:embed offer.toml
var usual []byte

// UsualTOML is the table that is taken where none is given.
func UsualTOML() []byte { return bytes.Clone(usual) }

// Usual is that table.
func Usual() Offer {
	o, err := Read("the usual offer", bytes.NewReader(usual))
	if err != nil {
		panic(err) // embedded and tested
	}
	return o
}

// ReadFile reads an offer from a file on disk.
func ReadFile(path string) (o Offer, err error) {
	f, err := regularfile.Open(path)
	if err != nil {
		return o, fmt.Errorf("opening the offer: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return Read(path, f)
}

// Read reads an offer, whose form is that of UsualTOML; name stands for it in errors, which
// are *scenes.InputError where the text is at fault. Keys left out take the usual table's.
func Read(name string, r io.Reader) (Offer, error) {
	doc, err := tomlplace.Read(r)
	var mistake *tomlplace.Error
	if errors.As(err, &mistake) {
		return Offer{}, &scenes.InputError{Name: name, Line: mistake.Line, Column: mistake.Column, Err: err}
	}
	if err != nil {
		return Offer{}, fmt.Errorf("reading the offer %s: %w", name, err)
	}
	var o Offer
	if name != "the usual offer" {
		o = Usual()
	}
	t := doc.Root()
	o.fill(t)
	if w := t.Wrong; w != nil {
		return Offer{}, &scenes.InputError{Name: name, Line: w.Line, Column: w.Column, Err: w.Err}
	}
	if n := o.candidates(); n > mostCandidates {
		return Offer{}, scenes.InputErrorf(name, "%.3g candidates, each with each, are on offer: want %.0g or fewer; shorten the lists", n, float64(mostCandidates))
	}
	return o, nil
}

// fill reads the tables of an offer.
func (o *Offer) fill(t *tomlplace.Table) {
	t.Known("goal", "board", "copper", "stack", "coil", "steel", "magnet", "drive", "supply")
	t.Within("goal", func(t *tomlplace.Table) {
		t.Known("best", "move")
		tomlplace.Name(t, "best", &o.Best)
		if !slices.Contains(Goals, o.Best) {
			t.Fail("best", fmt.Errorf("%q: want one of %q", o.Best, Goals))
		}
		t.Quantity("move", quantity.Time, &o.Move)
		atLeast(t, "move", o.Move, 0)
	})
	each(t, "board", &o.Boards, func(t *tomlplace.Table, b *Board) {
		t.Known("layers", "area_price", "order_price", "thickness", "via_drill", "via_ring")
		if t.Whole("layers", &b.Layers); b.Layers < 1 || b.Layers > 64 {
			t.Fail("layers", fmt.Errorf("%d layers: want 1 to 64", b.Layers))
		}
		price(t, "area_price", &b.AreaPrice)
		price(t, "order_price", &b.OrderPrice)
		if t.Has("thickness") {
			lengths(t, "thickness", &b.Thickness, 1e-4)
		}
		t.Quantity("via_drill", quantity.Length, &b.ViaDrill)
		atLeast(t, "via_drill", b.ViaDrill, 0)
		t.Quantity("via_ring", quantity.Length, &b.ViaRing)
		atLeast(t, "via_ring", b.ViaRing, 0)
	})
	each(t, "copper", &o.Copper, func(t *tomlplace.Table, c *Copper) {
		t.Known("weight", "track", "gap", "inner_track", "inner_gap", "factor", "layers")
		c.Factor = 1
		positive(t, "weight", quantity.CopperWeight, &c.Weight)
		positive(t, "track", quantity.Length, &c.Track)
		positive(t, "gap", quantity.Length, &c.Gap)
		c.InnerTrack, c.InnerGap = c.Track, c.Gap
		if t.Has("inner_track") {
			positive(t, "inner_track", quantity.Length, &c.InnerTrack)
		}
		if t.Has("inner_gap") {
			positive(t, "inner_gap", quantity.Length, &c.InnerGap)
		}
		price(t, "factor", &c.Factor)
		if t.Has("layers") {
			counts(t, "layers", &c.Layers, 1)
		}
	})
	twice(t, "board", o.Boards, "number of layers", func(b Board) float64 { return float64(b.Layers) })
	o.boards(t)
	each(t, "supply", &o.Supplies, func(t *tomlplace.Table, s *Supply) {
		t.Known("volts", "power", "price")
		positive(t, "volts", quantity.Voltage, &s.Volts)
		positive(t, "power", quantity.Power, &s.Power)
		price(t, "price", &s.Price)
	})
	t.Within("stack", func(t *tomlplace.Table) {
		t.Known("thickness", "via_drill", "via_ring", "hole_price")
		lengths(t, "thickness", &o.Thickness, 1e-4)
		t.Quantity("via_drill", quantity.Length, &o.ViaDrill)
		atLeast(t, "via_drill", o.ViaDrill, 0)
		t.Quantity("via_ring", quantity.Length, &o.ViaRing)
		atLeast(t, "via_ring", o.ViaRing, 0)
		price(t, "hole_price", &o.HolePrice)
	})
	t.Within("coil", func(t *tomlplace.Table) {
		t.Known("space", "wider", "further", "inner", "free_layers", "groups")
		lengths(t, "space", &o.Space, 0)
		numbers(t, "wider", &o.Wider, 1)
		numbers(t, "further", &o.Further, 1)
		t.Quantities("inner", quantity.Ratio, &o.Inner)
		all(t, "inner", o.Inner, 0, 0.9)
		counts(t, "free_layers", &o.FreeLayers, 0)
		counts(t, "groups", &o.Groups, 1)
	})
	t.Within("steel", func(t *tomlplace.Table) {
		t.Known("sheet", "core", "sheet_price", "pin_price")
		lengths(t, "sheet", &o.Sheet, 0)
		lengths(t, "core", &o.Core, 0)
		price(t, "sheet_price", &o.SheetPrice)
		price(t, "pin_price", &o.PinPrice)
	})
	t.Within("magnet", func(t *tomlplace.Table) {
		t.Known("length", "diameter", "price")
		lengths(t, "length", &o.Magnet, 0)
		lengths(t, "diameter", &o.MagnetWide, 1e-4)
		price(t, "price", &o.MagnetPrice)
	})
	if len(o.steels()) == 0 {
		t.Fail("steel", errors.New("nothing can stand behind the coils: a pin needs a sheet, a magnet a place without one; put sheet, core or magnet.length of 0 mm on offer, too"))
	}
	t.Within("drive", func(t *tomlplace.Table) {
		t.Known("duty", "driver_price")
		t.Quantities("duty", quantity.Ratio, &o.Duty)
		all(t, "duty", o.Duty, 1e-3, 1)
		price(t, "driver_price", &o.DriverPrice)
	})
}

// boards holds what is etched against the boards that are made.
func (o *Offer) boards(t *tomlplace.Table) {
	for i, c := range o.Copper {
		if len(c.Layers) > 0 && !slices.ContainsFunc(o.Boards, func(b Board) bool { return c.on(b.Layers) }) {
			t.Fail("copper", fmt.Errorf("no. %d is etched on boards of %d layers only: no such [[board]] is on offer", i+1, c.Layers))
		}
		for _, e := range o.Copper[:i] {
			for _, b := range o.Boards {
				if c.Weight == e.Weight && c.Track == e.Track && c.Gap == e.Gap && c.on(b.Layers) && e.on(b.Layers) {
					t.Fail("copper", fmt.Errorf("a copper weight with one track and gap is on offer twice for %d layers", b.Layers))
					return
				}
			}
		}
	}
	for _, b := range o.Boards {
		if !slices.ContainsFunc(o.Copper, func(c Copper) bool { return c.on(b.Layers) }) {
			t.Fail("board", fmt.Errorf("no [[copper]] is etched on %d layers: want one whose layers has %d, or no key layers", b.Layers, b.Layers))
		}
	}
}

// twice tells of a value that a list has twice.
func twice[T any](t *tomlplace.Table, key string, list []T, name string, value func(T) float64) {
	seen := map[float64]bool{}
	for _, v := range list {
		if seen[value(v)] {
			t.Fail(key, fmt.Errorf("a %s is on offer twice", name))
		}
		seen[value(v)] = true
	}
}

// each reads the tables of a list in the place of the usual ones; an empty list is refused.
func each[T any](t *tomlplace.Table, key string, into *[]T, read func(*tomlplace.Table, *T)) {
	if !t.Has(key) {
		return
	}
	*into = nil
	for _, in := range t.Tables(key) {
		var v T
		if read(in, &v); in.Wrong != nil {
			t.Wrong = in.Wrong
			return
		}
		*into = append(*into, v)
	}
	if len(*into) == 0 {
		t.Fail(key, fmt.Errorf("nothing is on offer: want one [[%s]] or more", key))
	}
}

func atLeast(t *tomlplace.Table, key string, v, least float64) {
	if !(v >= least) || math.IsInf(v, 0) {
		t.Fail(key, fmt.Errorf("%g: want %g or more", v, least))
	}
}

// price reads a number of the currency, or a factor on one.
func price(t *tomlplace.Table, key string, into *float64) {
	t.Number(key, into)
	atLeast(t, key, *into, 0)
}

// positive reads a quantity that has to be there and more than 0.
func positive(t *tomlplace.Table, key string, d quantity.Dimension, into *float64) {
	if t.Quantity(key, d, into); !(*into > 0) {
		t.Fail(key, fmt.Errorf("want a %s of more than 0, such as %q", d.Name(), "1 "+d.Units()[0]))
	}
}

func lengths(t *tomlplace.Table, key string, into *[]float64, least float64) {
	t.Quantities(key, quantity.Length, into)
	all(t, key, *into, least, 1)
}

func numbers(t *tomlplace.Table, key string, into *[]float64, least float64) {
	if t.Has(key) {
		*into = nil
	}
	t.List(key, "1", func(in *tomlplace.Table, k string) {
		var v float64
		in.Number(k, &v)
		*into = append(*into, v)
	})
	all(t, key, *into, least, 1e3)
}

func counts(t *tomlplace.Table, key string, into *[]int, least int) {
	if t.Has(key) {
		*into = nil
	}
	t.List(key, "1", func(in *tomlplace.Table, k string) {
		var v int
		if in.Whole(k, &v); v < least || v > 64 {
			in.Fail(k, fmt.Errorf("%d: want %d to 64", v, least))
		}
		*into = append(*into, v)
	})
	all(t, key, *into, 0, 64)
}

// all holds every value of a list against its bounds.
func all[T int | float64](t *tomlplace.Table, key string, list []T, least, most float64) {
	if len(list) == 0 {
		t.Fail(key, errors.New("nothing is on offer: want one value or more"))
	}
	for _, v := range list {
		if x := float64(v); !(x >= least && x <= most) {
			t.Fail(key, fmt.Errorf("%g: want %g to %g, in SI units", x, least, most))
		}
	}
}

// mostCandidates bounds a search: some minutes and half a gigabyte.
const mostCandidates = 6_000_000

// candidates is how many there are at most.
func (o Offer) candidates() float64 {
	n := 0.0
	for i := range o.Boards {
		b := &o.Boards[i]
		for _, c := range o.Copper {
			if c.on(b.Layers) {
				n += float64(len(o.thick(b)))
			}
		}
	}
	for _, k := range []int{len(o.Space), len(o.Wider), len(o.Further), len(o.Inner) + len(o.Core), len(o.FreeLayers), len(o.Groups), len(o.steels()), len(o.drives())} {
		n *= float64(k)
	}
	return n
}

// thick are the thicknesses of a board on offer, m.
func (o Offer) thick(b *Board) []float64 {
	if b.Thickness != nil {
		return b.Thickness
	}
	return o.Thickness
}

// rules are the board house's for a board: of a copper on it, and beside it the finest of each
// other weight.
func (o Offer) rules(b *Board, own *Copper) coil.Rules {
	r := coil.Rules{ViaDrill: cmp.Or(b.ViaDrill, o.ViaDrill), ViaRing: cmp.Or(b.ViaRing, o.ViaRing)}
	for i := range o.Copper {
		c := &o.Copper[i]
		if c.on(b.Layers) && (c == own || c.Weight != own.Weight) {
			track, gap := c.least(b.Layers)
			r.Tracks = append(r.Tracks, coil.TrackRule{CopperUpTo: c.Weight, Track: track, Gap: gap})
		}
	}
	slices.SortStableFunc(r.Tracks, func(x, y coil.TrackRule) int {
		return cmp.Or(cmp.Compare(x.CopperUpTo, y.CopperUpTo), cmp.Compare(x.Track, y.Track), cmp.Compare(x.Gap, y.Gap))
	})
	r.Tracks = slices.CompactFunc(r.Tracks, func(x, y coil.TrackRule) bool { return x.CopperUpTo == y.CopperUpTo })
	for _, b := range o.Boards {
		r.Layers = append(r.Layers, b.Layers)
	}
	slices.Sort(r.Layers)
	r.Layers = slices.Compact(r.Layers)
	return r
}

// supply is the cheapest of a voltage that gives a power in watts for long at a derating;
// false when none does.
func (o Offer) supply(volts, watts, usable float64) (best Supply, ok bool) {
	for _, s := range o.Supplies {
		if s.Volts == volts && s.Power*usable >= watts && (!ok || cmp.Or(cmp.Compare(s.Price, best.Price), cmp.Compare(s.Power, best.Power)) < 0) {
			best, ok = s, true
		}
	}
	return best, ok
}
