package output

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Plan is all that one run reads and writes. Targets are declared, CheckNames looks at
// their names alone; what is read is told, Prepare looks at the disk; the targets are
// filled; Commit puts all of them in their places, Discard none.
type Plan struct {
	Force  bool // replace files that are not this program's own
	Stdout io.Writer

	targets []*Target
	inputs  []input
}

// input is something that the run reads.
type input struct {
	what string // "the design"
	path string
	info fs.FileInfo
}

// Mistake is a plan that contradicts itself, whatever is on the disk.
type Mistake struct{ text string }

func (m Mistake) Error() string { return m.text }

// Target declares something that the run may write. Its path is set before CheckNames.
func (p *Plan) Target(flag string, k Kind) *Target {
	t := &Target{Flag: flag, Kind: k, plan: p}
	p.targets = append(p.targets, t)
	return t
}

// Reads tells of files and folders that the run reads, what they are in words. One that
// is not there is left to its reader.
func (p *Plan) Reads(what string, paths ...string) {
	for _, path := range paths {
		if info, err := os.Stat(path); err == nil {
			p.inputs = append(p.inputs, input{what, path, info})
		}
	}
}

// asked returns the targets that are to be written.
func (p *Plan) asked() []*Target {
	return slices.DeleteFunc(slices.Clone(p.targets), func(t *Target) bool { return !t.Asked() })
}

// CheckNames refuses names with an ending of something else, and more than one file on the
// standard output. An error is a Mistake.
func (p *Plan) CheckNames() error {
	var taken []string
	for _, t := range p.asked() {
		if err := t.checkName(); err != nil {
			return err
		}
		if t.Path == "-" {
			taken = append(taken, "--"+t.Flag)
		}
	}
	if len(taken) > 1 {
		return Mistake{fmt.Sprintf("%s cannot all go to the standard output (-); name files for all but one", strings.Join(taken, " and "))}
	}
	return nil
}

// Prepare follows every path, refuses to write what is read, to write one file twice and
// to replace what is not ours, and makes the temporary files, so that a folder that is
// missing or closed shows now.
func (p *Plan) Prepare() error {
	err := p.prepare()
	if err != nil {
		return errors.Join(err, p.Discard())
	}
	return nil
}

func (p *Plan) prepare() error {
	if err := p.look(); err != nil {
		return err
	}
	for _, t := range p.asked() {
		if err := t.open(); err != nil {
			return err
		}
	}
	return nil
}

// look finds what stands in the places now, and refuses what must not be.
func (p *Plan) look() error {
	if f, ok := p.Stdout.(interface{ Stat() (fs.FileInfo, error) }); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			for _, in := range p.inputs {
				if os.SameFile(info, in.info) {
					return Mistake{fmt.Sprintf("the standard output goes to %s, which is %s that is read", in.path, in.what)}
				}
			}
		}
	}
	var before []*Target
	for _, t := range p.asked() {
		if t.Path == "-" {
			continue
		}
		follow := find
		if t.folder {
			follow = findFolder
		}
		var err error
		if t.at, err = follow(t.Path); err != nil {
			return fmt.Errorf("--%s %s: %w", t.Flag, t.Path, err)
		}
		for _, in := range p.inputs {
			if err := t.spares(in); err != nil {
				return err
			}
		}
		for _, b := range before {
			if t.clashes(b) || b.clashes(t) {
				return Mistake{fmt.Sprintf("--%s %s and --%s %s are one file", b.Flag, b.Path, t.Flag, t.Path)}
			}
		}
		before = append(before, t)
	}
	for _, t := range before {
		if err := t.allowed(p.Force); err != nil {
			return err
		}
	}
	return nil
}

// spares refuses a target that would write over an input, or add a picture to a folder of
// pictures that is one.
func (t *Target) spares(in input) error {
	hit := t.at.info != nil && os.SameFile(t.at.info, in.info)
	switch {
	case hit, in.info.IsDir() && t.folder:
	case t.folder:
		names, err := t.present()
		if err != nil {
			return fmt.Errorf("--%s: %w", t.Flag, err)
		}
		for _, name := range names {
			if info, err := os.Stat(filepath.Join(t.at.real, name)); err == nil && os.SameFile(info, in.info) {
				hit = true
			}
		}
	case in.info.IsDir():
		hit = os.SameFile(t.at.folder, in.info) && slices.Contains([]string{".png", ".jpg", ".jpeg"}, t.Ending())
	}
	if !hit {
		return nil
	}
	return Mistake{fmt.Sprintf("--%s %s would change %s, %s, which is read; choose another name", t.Flag, t.Path, in.what, in.path)}
}

// clashes tells whether two targets would write one file.
func (t *Target) clashes(b *Target) bool {
	switch {
	case t.Path == os.DevNull && b.Path == os.DevNull:
		return false
	case t.folder && !b.folder:
		return b.at.folder != nil && t.at.info != nil && os.SameFile(t.at.info, b.at.folder) && t.Kind.Files.MatchString(filepath.Base(b.at.real))
	case b.folder && !t.folder:
		return false // asked the other way round
	}
	return t.at.same(b.at)
}

// Commit puts everything that was filled in its place, unless what stands there changed
// meanwhile into something to be kept.
func (p *Plan) Commit() error {
	err := p.look()
	if err == nil {
		err = p.commit()
	}
	if err != nil {
		return errors.Join(err, p.Discard())
	}
	return p.Discard() // what was never filled
}

func (p *Plan) commit() error {
	live.Lock()
	defer live.Unlock()
	if live.ended {
		return context.Canceled
	}
	for _, t := range p.targets {
		if err := t.commit(); err != nil {
			return err
		}
	}
	return nil
}

// Discard removes the temporary files.
func (p *Plan) Discard() error {
	var list []error
	for _, t := range p.targets {
		if t.stage != nil {
			list = append(list, t.stage.remove())
			t.stage = nil
		}
	}
	return errors.Join(list...)
}

// New writes a file under a name that no file in the folder has yet: name.ext,
// name-2.ext, … It returns the path.
func New(folder, name, ext string, fill func(io.Writer) error) (string, error) {
	for n := 1; n < 10000; n++ {
		path := filepath.Join(folder, name+ext)
		if n > 1 {
			path = filepath.Join(folder, fmt.Sprintf("%s-%d%s", name, n, ext))
		}
		if _, err := os.Lstat(path); err == nil {
			continue
		} else if !errors.Is(err, fs.ErrNotExist) {
			return "", fmt.Errorf("saving %s: %w", path, err)
		}
		return path, Replace(path, fill)
	}
	return "", fmt.Errorf("saving %s%s: the folder %s is full of such files", name, ext, folder)
}

// Replace writes one file whole or not at all, whatever stands there.
func Replace(path string, fill func(io.Writer) error) error {
	p := Plan{Force: true}
	t := p.Target("out", Kind{})
	t.Path = path
	if err := p.Prepare(); err != nil {
		return err
	}
	if err := t.Write(fill); err != nil {
		return errors.Join(err, p.Discard())
	}
	return p.Commit()
}
