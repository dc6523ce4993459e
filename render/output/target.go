package output

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// Kind is what a target is for.
type Kind struct {
	// Endings are what the file's name may end in; none lets it have any. The first is
	// that of the standard output.
	Endings []string
	// Yours marks a file that is its user's own work as soon as it is written, so that it
	// is never replaced unasked.
	Yours bool
	// Files, if not nil, are the names of a folder's files: the target may be a folder. It
	// is one where there is one, and where the name has no ending.
	Files *regexp.Regexp
	// Speaker is the file in the folder whose mark speaks for all; "" lets each speak for
	// itself.
	Speaker string
}

// Target is a file or a folder that a run may write.
type Target struct {
	Flag string // its name on the command line, without dashes
	Path string // "-" is the standard output, "" not asked for
	Kind Kind
	Form Form // of a file whose ending does not tell

	plan   *Plan
	folder bool
	at     place
	stage  *stage
	names  []string // of the files written into the folder
	filled bool
}

// Asked tells whether the target is to be written.
func (t *Target) Asked() bool { return t.Path != "" }

// Folder tells whether the target is a folder.
func (t *Target) Folder() bool { return t.folder }

// Ending returns how the file's name ends, in lower case and with the dot.
func (t *Target) Ending() string {
	if (t.Path == "-" || t.Path == os.DevNull) && len(t.Kind.Endings) > 0 {
		return t.Kind.Endings[0]
	}
	return strings.ToLower(filepath.Ext(t.Path))
}

// checkName refuses an ending of something else.
func (t *Target) checkName() error {
	if t.Kind.Files != nil && t.Path != "-" {
		info, err := os.Stat(t.Path)
		last := t.Path[len(t.Path)-1]
		t.folder = err == nil && info.IsDir() || err != nil && (filepath.Ext(t.Path) == "" || os.IsPathSeparator(last))
	}
	if t.folder || len(t.Kind.Endings) == 0 || t.Path == "-" || slices.Contains(t.Kind.Endings, t.Ending()) || t.Path == os.DevNull {
		return nil
	}
	text := fmt.Sprintf("--%s %s: the name must end in %s", t.Flag, t.Path, strings.Join(t.Kind.Endings, " or "))
	if t.Kind.Files != nil {
		text += ", or be that of a folder, which has no ending"
	}
	return Mistake{text}
}

// form is how the file is marked.
func (t *Target) form() Form {
	if t.Form != Bare {
		return t.Form
	}
	if len(t.Kind.Endings) == 0 {
		return Bare
	}
	switch t.Ending() {
	case ".png", ".apng":
		return PNG
	case ".svg", ".vti", ".html", ".htm":
		return XML
	}
	return Bare
}

// Write fills the target, if it was asked for. Nothing is in its place before Commit; the
// standard output, a pipe and a device get it at once.
func (t *Target) Write(fill func(io.Writer) error) error {
	if !t.Asked() {
		return nil
	}
	if t.Path == "-" {
		form := t.form()
		if form == Text || form == CSV {
			form = Bare // the next in the pipe wants the result alone
		}
		if err := form.mark(t.plan.Stdout, fill); err != nil {
			return fmt.Errorf("writing to the standard output: %w", err)
		}
		return nil
	}
	var err error
	if t.stage != nil {
		err = t.form().mark(t.stage.file, fill)
	} else if f, e := os.OpenFile(t.at.real, os.O_WRONLY, 0); e != nil { // a pipe or a device
		err = e
	} else {
		err = errors.Join(t.form().mark(f, fill), f.Close())
	}
	if err != nil {
		return fmt.Errorf("writing %s: %w", t.Path, err)
	}
	t.filled = true
	return nil
}

// WriteBytes fills the target with data, if it was asked for.
func (t *Target) WriteBytes(data []byte) error {
	return t.Write(func(w io.Writer) error { _, err := w.Write(data); return err })
}

// WriteFile fills a file of a target that is a folder.
func (t *Target) WriteFile(name string, fill func(io.Writer) error) error {
	f, err := os.OpenFile(filepath.Join(t.stage.path, name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err == nil {
		form := Bare
		switch filepath.Ext(name) {
		case ".png":
			form = PNG
		case ".html", ".svg":
			form = XML
		case ".csv":
			form = CSV
		}
		if t.Kind.Yours {
			form = Bare
		}
		if name == t.Kind.Speaker && form == Bare {
			form = Text
		}
		err = errors.Join(form.mark(f, fill), f.Close())
	}
	if err != nil {
		return fmt.Errorf("writing %s: %w", filepath.Join(t.Path, name), err)
	}
	t.names = append(t.names, name)
	t.filled = true
	return nil
}

// allowed refuses to replace what is not this program's own, unless forced.
func (t *Target) allowed(force bool) error {
	switch info := t.at.info; {
	case t.folder:
		return t.allowedFolder(force)
	case info == nil, !info.Mode().IsRegular() && !info.IsDir():
		return nil
	case info.IsDir():
		return fmt.Errorf("--%s %s: there is a folder of that name", t.Flag, t.Path)
	case info.Mode().Perm()&0o200 == 0:
		return fmt.Errorf("--%s %s: the file is protected against writing", t.Flag, t.Path)
	case force:
		return nil
	}
	mine, err := own(t.at.real)
	if err != nil {
		return fmt.Errorf("--%s %s: looking at the file that is there: %w", t.Flag, t.Path, err)
	}
	if mine && (!t.Kind.Yours || t.at.info.Size() == 0) {
		return nil
	}
	return t.refuse(t.Path)
}

func (t *Target) refuse(path string) error {
	why := "is there already and has no mark of lodegrid"
	if t.Kind.Yours {
		why = "is there already"
	}
	return fmt.Errorf("--%s: %s %s; --force replaces it", t.Flag, path, why)
}

// allowedFolder looks at the files in a folder that have names of ours.
func (t *Target) allowedFolder(force bool) error {
	names, err := t.present()
	if err != nil {
		return fmt.Errorf("--%s: %w", t.Flag, err)
	}
	for _, name := range names {
		if !force && !t.owns(name) {
			return t.refuse(filepath.Join(t.Path, name))
		}
	}
	return nil
}

// present lists the files in the folder that have names of ours.
func (t *Target) present() (names []string, err error) {
	if t.at.info == nil {
		return nil, nil
	}
	entries, err := os.ReadDir(t.at.real)
	for _, e := range entries {
		if t.Kind.Files.MatchString(e.Name()) {
			names = append(names, e.Name())
		}
	}
	return names, err
}

// owns tells whether a file in the folder is this program's own.
func (t *Target) owns(name string) bool {
	if t.Kind.Speaker != "" {
		name = t.Kind.Speaker
	}
	mine, err := own(filepath.Join(t.at.real, name))
	return err == nil && mine
}

// open makes the stage, where the place is a file's or a folder's.
func (t *Target) open() error {
	if t.Path == "-" {
		return nil
	}
	dir := filepath.Dir(t.at.real)
	switch info := t.at.info; {
	case t.folder && info != nil:
		dir = t.at.real
	case t.folder: // beside the first folder to be made
		for up := dir; ; up = filepath.Dir(up) {
			if info, err := os.Stat(up); err == nil && info.IsDir() {
				dir = up
				break
			}
		}
	case info != nil && !info.Mode().IsRegular():
		return nil
	}
	sweep(dir)
	s, err := newStage(dir, t.folder)
	if err != nil {
		return fmt.Errorf("--%s %s: the folder cannot be written to: %w", t.Flag, t.Path, err)
	}
	t.stage = s
	return nil
}

// commit puts what was filled in its place. The caller holds the lock of live.
func (t *Target) commit() error {
	if t.stage == nil || !t.filled {
		return nil
	}
	if t.folder {
		return t.commitFolder()
	}
	if t.at.info != nil {
		if err := t.stage.file.Chmod(t.at.info.Mode().Perm()); err != nil {
			return fmt.Errorf("writing %s: %w", t.Path, err)
		}
	}
	if err := t.stage.rename(t.at.real); err != nil {
		return fmt.Errorf("writing %s: %w", t.Path, err)
	}
	t.stage = nil
	return nil
}

// commitFolder puts the files in the folder, and removes those of an earlier run that have
// no successor. Other files stay.
func (t *Target) commitFolder() error {
	old, err := t.present()
	if err == nil {
		err = os.MkdirAll(t.at.real, 0o777)
	}
	for _, name := range old {
		if err == nil && !slices.Contains(t.names, name) && t.owns(name) {
			err = os.Remove(filepath.Join(t.at.real, name))
		}
	}
	for _, name := range t.names {
		if err == nil {
			err = os.Rename(filepath.Join(t.stage.path, name), filepath.Join(t.at.real, name))
		}
	}
	if err != nil {
		return fmt.Errorf("writing into %s: %w", t.Path, err)
	}
	return nil
}
