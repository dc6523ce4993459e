package main

import (
	"fmt"
	"os"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

func main() {
	d := design.Demo()
	var ch []design.Change
	period := 60.0
	for _, a := range os.Args[1:] {
		c, err := design.ParseChange(a)
		if err != nil {
			panic(err)
		}
		if c.Key == "period" {
			fmt.Sscan(c.Value, &period)
			continue
		}
		ch = append(ch, c)
	}
	d, err := d.With(ch...)
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	g, err := array.Build(d, 0)
	if err != nil {
		panic(err)
	}
	c := g.Pixel.Coil
	i := g.Pixel.FullCurrent
	p, err := player.New(g)
	if err != nil {
		panic(err)
	}
	pr, _ := scenes.Defaults("tide", d.Grid.Rows, d.Grid.Cols)
	pr.Duration, pr.FrameTime, pr.Band, pr.Period, pr.WavePeriod = period, 0.5, d.Scene.Band, period, period/2
	s, err := scenes.Generate("tide", pr)
	if err != nil {
		panic(err)
	}
	m := scenes.DefaultMapping()
	m.Kind, m.Threshold = scenes.Threshold, d.Scene.Threshold
	s, _ = m.Scene(s)
	if _, err := p.Warm(s); err != nil {
		fmt.Println(err)
	}
	b, err := player.NewBasin(g)
	if err != nil {
		panic(err)
	}
	b.FillFor(s)
	var mean float64
	var half, lit int
	l, err := p.Play(s, func(e player.Entry) error {
		b.Step(e.Duration, p.Plane())
		mm, h, n := b.Following(p.States())
		mean += mm
		half += h
		lit += n
		return nil
	})
	if err != nil {
		panic(err)
	}
	z := l.Summary()
	fmt.Printf("R %.1f N %g I %.3f P %.3f B %.2f mT Pi %.1f touch %.1f avg %.1f W hold %.2f follow %.2f half %d/%d\n", c.Resistance(293.15), c.TotalTurns(), i, i*i*c.Resistance(293.15), g.Kernel.At(0, 0).Z*1e3*i, g.Fluid.Pi(g.Kernel.At(0, 0).Z*i), z.Touch-273.15, z.AveragePower, z.LeastHold, mean/float64(len(s.Frames)), half, lit)
}
