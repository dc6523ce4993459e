package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/render"
	"lodegrid/scenes"
	"lodegrid/scenes/choreograph"
	"lodegrid/scenes/compose"
	"lodegrid/scenes/shown"
	"lodegrid/scenes/verdict"
)

// job is one run of a subcommand: what it read, and where it talks.
type job struct {
	streams
	kind   string // of the document: the subcommand's name
	design design.Design
	many   []design.Design // of a subcommand that reads several
	scene  scenes.Scene
	wanted *scenes.Scene    // the pictures that the scene was planned for, nil when it is they
	moves  []render.Section // on the moves that were planned
	last   []render.Section // that end the document, doubted or not
	judged *verdict.Verdict // the last
	// nominal is the design of which this is one with a value off by its doubt, nil of another.
	nominal *design.Design
	twice   bool          // the drop model follows the scene once more
	bare    bool          // the verdict without what mends the problems
	plan    verdict.Plan  // makes them for another design
	tank    *shown.Record // what the tank shows of the scene, nil where it was not asked
	built   *grid.Grid    // of the design or of one with another drive

	// start brings drops that begin in the pool to where the design says then that they are.
	start *choreograph.Start
}

// document is the job's, of sections.
func (j *job) document(sections ...render.Section) render.Document {
	return render.Document{Kind: j.kind, Design: j.design.Name, Sections: sections}
}

// body computes and fills the files of a run.
type body func(ctx context.Context, j *job) error

// execute runs a subcommand whose flags are parsed: it reads, plans the files, computes,
// and puts the files in their places when all is done.
func (f *flagSet) execute(ctx context.Context, s streams, run body) (err error) {
	if err := f.checkAll(); err != nil {
		return err
	}
	f.plan.Stdout, f.columns = s.out, s.columns
	j := &job{streams: s, kind: f.Name()}
	if f.reads == manyDesigns {
		if j.many, err = f.openDesigns(); err != nil {
			return err
		}
		j.design = j.many[0]
	} else if j.design, err = f.openDesign(); err != nil {
		return err
	}
	scene := source{}
	if f.reads == designAndScene || f.reads == designAndPictures {
		if scene, err = f.scene.source(j.design); err != nil {
			return err
		}
		if scene.path != "" {
			f.plan.Reads("the scene", compose.Sources(scene.path)...)
		}
	}
	if err := f.plan.Prepare(); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.plan.Discard()) }()
	if f.reads == designAndScene || f.reads == designAndPictures {
		if j.scene, err = scene.open(ctx, j.design); err != nil {
			return err
		}
	}
	if !f.silent {
		j.bar = newBar(s, f.Name(), -1)
		defer j.bar.done()
		ctx = watched{ctx, j.bar.step}
	}
	if err := j.carry(ctx, f.reads == designAndScene && j.design.Scene.Carry); err != nil {
		return err
	}
	if err := run(ctx, j); err != nil && !errors.Is(err, errLimit) {
		return err
	} else if failed := f.plan.Commit(); failed != nil {
		return failed
	} else {
		return err
	}
}

// builtIn is the design that is taken without one; most tests play a quicker one.
var builtIn = design.Demo

// openDesign reads the design named by the arguments, the demo without one, and makes the
// changes asked for.
func (f *flagSet) openDesign() (d design.Design, err error) {
	args := f.Args()
	if f.reads == designAndReadings {
		if len(args) == 0 {
			return d, usageError{"no readings: name a CSV file of them; lodegrid fit --new writes an empty one"}
		}
		f.bench, args = args[len(args)-1], args[:len(args)-1]
		f.plan.Reads("the readings", f.bench)
	}
	switch {
	case f.words != nil && (len(args) != 1 || !slices.Contains(f.words, args[0])):
		return d, usageError{fmt.Sprintf("%s takes one of %s", f.Name(), strings.Join(f.words, ", "))}
	case f.words == nil && f.reads == nothing && len(args) > 0:
		return d, usageError{fmt.Sprintf("%s takes nothing here (have %s)", f.Name(), strings.Join(args, " "))}
	case f.reads == nothing && len(f.changes) > 0:
		return d, usageError{"--set changes a design, and none is read here"}
	case f.reads == nothing:
		return d, nil
	case len(args) > 1:
		return d, usageError{fmt.Sprintf("one design file at most, have %d: %s", len(args), strings.Join(args, " "))}
	case len(args) == 0:
		d = builtIn()
	default:
		if d, err = f.readDesign(args[0]); err != nil {
			return d, err
		}
	}
	return f.changed(d)
}

// openDesigns reads all designs named, the demo without one, and those of their scenes that
// are files.
func (f *flagSet) openDesigns() (list []design.Design, err error) {
	if len(f.Args()) == 0 {
		list = []design.Design{builtIn()}
	}
	for _, path := range f.Args() {
		d, err := f.readDesign(path)
		if err != nil {
			return nil, err
		}
		list = append(list, d)
	}
	for i, d := range list {
		if list[i], err = f.changed(d); err != nil {
			return nil, err
		}
		s, err := f.scene.source(list[i])
		if err != nil {
			return nil, err
		}
		if s.path != "" {
			f.plan.Reads("the scene", compose.Sources(s.path)...)
		}
	}
	return list, nil
}

func (f *flagSet) readDesign(path string) (design.Design, error) {
	f.plan.Reads("the design", path)
	d, err := design.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		err = fmt.Errorf("%w; lodegrid design --new -o %s writes one to start from", err, path)
	}
	if err != nil {
		return d, unreadable(err)
	}
	if d.Base != "" {
		f.plan.Reads("the design's base", d.Base)
	}
	return d, nil
}

// changed makes the changes asked for.
func (f *flagSet) changed(d design.Design) (design.Design, error) {
	if len(f.changes) == 0 {
		return d, nil
	}
	return with(d, f.changes)
}

// with makes changes written as KEY=VALUE.
func with(d design.Design, texts []string) (design.Design, error) {
	var changes []design.Change
	for _, text := range texts {
		c, err := design.ParseChange(text)
		if err != nil {
			return d, err
		}
		changes = append(changes, c)
	}
	return d.With(changes...)
}
