package design

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"path/filepath"

	"lodegrid/field/regularfile"
	"lodegrid/field/tomlplace"
)

// Read reads a design file; name stands for it in errors. Everything wrong with the
// file is reported together, as Errors; a breach of the TOML syntax hides what
// follows it.
func Read(name string, r io.Reader) (Design, error) { return read(name, r, 0) }

// deepest bounds how many files may go by each other.
const deepest = 8

func read(name string, r io.Reader, depth int) (Design, error) {
	doc, err := tomlplace.Read(r)
	var wrong *tomlplace.Error
	if errors.As(err, &wrong) {
		return Design{}, Errors{{File: name, Line: wrong.Line, Column: wrong.Column, Key: wrong.Key, Problem: wrong.Problem, Accept: wrong.Accept}}
	}
	if err != nil {
		return Design{}, fmt.Errorf("reading design %s: %w", name, err)
	}
	values, folder := doc.Values, ""
	base, on := values[baseKey]
	if on {
		at := doc.Value(baseKey)
		wrong := func(problem, accept string) error {
			return Errors{{File: name, Line: at.Line, Column: at.Column, Key: baseKey, Problem: problem, Accept: accept}}
		}
		text, ok := base.(string)
		switch {
		case !ok || text == "":
			return Design{}, wrong("this is "+tomlplace.Describe(base), "the path of a design file, beside this one")
		case depth == deepest:
			return Design{}, wrong(fmt.Sprintf("%d files go by each other", deepest+1), fmt.Sprintf("a base that ends after %d", deepest))
		case !filepath.IsAbs(text):
			text = filepath.Join(filepath.Dir(name), text)
		}
		under, err := readFile(text, depth+1)
		if err != nil {
			return Design{}, fmt.Errorf("%s:%d:%d: %s: %w", name, at.Line, at.Column, baseKey, err)
		}
		values = maps.Clone(values)
		delete(values, baseKey)
		values, folder, base = under.under(values), under.Folder, text
	}
	found := resolve(values)
	var list Errors
	for _, f := range found.faults {
		at := doc.Value(f.path)
		if f.atKey {
			at = doc.Key(f.path)
		}
		list = append(list, &Error{File: name, Line: at.Line, Column: at.Column, Key: f.path, Problem: f.problem, Accept: f.accept})
	}
	if err := list.err(); err != nil {
		return Design{}, err
	}
	if on {
		found.design.Base, found.design.Folder = base.(string), folder
	}
	return found.design, nil
}

// baseKey names the design file that another goes by.
const baseKey = "base"

// ReadFile reads a design from a regular file on disk. Errors name the path as given.
func ReadFile(path string) (Design, error) { return readFile(path, 0) }

func readFile(path string, depth int) (Design, error) {
	f, err := regularfile.Open(path)
	if err != nil {
		return Design{}, fmt.Errorf("opening design: %w", err)
	}
	defer f.Close()
	d, err := read(path, f, depth)
	if err == nil && d.Folder == "" {
		d.Folder = filepath.Dir(path)
	}
	return d, err
}
