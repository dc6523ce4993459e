package main

import (
	"context"
	"errors"
	"strings"

	"github.com/spf13/pflag"

	"lodegrid/array/wound"
	"lodegrid/field/coil"
	"lodegrid/field/material"
	"lodegrid/field/param"
	"lodegrid/field/quantity"
)

// woundFlags describe a wound electromagnet.
type woundFlags struct {
	on    bool
	gauge int
	spec  wound.Spec
}

func (f *woundFlags) declare(flags *flagSet) {
	f.spec = wound.Default()
	flags.BoolVar(&f.on, "wound", false, "compare with a wound electromagnet; any --wound-… flag asks for it too")
	length := func(value *float64, name, usage string) { flags.quantity(value, name, quantity.Length, 0, usage) }
	length(&f.spec.Outer, "wound-outer", "outside `diameter` of its winding")
	length(&f.spec.Inner, "wound-inner", "inside `diameter` of its winding, the bobbin's barrel")
	length(&f.spec.Height, "wound-height", "`length` of its winding and core")
	length(&f.spec.Wire, "wound-wire", "bare `diameter` of its wire")
	flags.IntVar(&f.gauge, "wound-gauge", 0, "its wire by American gauge, instead of --wound-wire")
	length(&f.spec.Core, "wound-core", "`diameter` of its core, 0 mm for none")
	length(&f.spec.Shell, "wound-shell", "`thickness` of an iron pot round it, 0 mm for none")
	flags.choice(&f.spec.Steel, "wound-steel", f.spec.Steel, "kind of its iron", material.SteelNames())
	flags.quantity(&f.spec.Voltage, "wound-volts", quantity.Voltage, 0, "`voltage` across it")
}

// asked reports whether any of the flags was given.
func (f *woundFlags) asked(flags *flagSet) bool {
	on := f.on
	flags.Visit(func(g *pflag.Flag) {
		on = on || strings.HasPrefix(g.Name, "wound-")
	})
	return on
}

// work returns the electromagnet; dimensions that cannot be are a mistake of usage.
func (f *woundFlags) work(ctx context.Context) (*wound.Magnet, error) {
	if f.gauge != 0 {
		f.spec.Wire = coil.WireGauge(f.gauge)
	}
	w, err := wound.New(ctx, f.spec)
	var e *param.Error
	switch {
	case errors.As(err, &e) && e.Of == string(wound.Params):
		return nil, usageError{"--wound-" + e.Key + ": " + e.Problem + "; accepted: " + e.Accept}
	case e != nil:
		return nil, usageError{err.Error()}
	}
	return w, err
}
