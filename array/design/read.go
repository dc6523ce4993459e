package design

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"lodegrid/field/regularfile"
	"lodegrid/field/tomlplace"
)

// Read reads a design file; name stands for it in errors. Everything wrong with the
// file is reported together, as Errors; a breach of the TOML syntax hides what
// follows it.
func Read(name string, r io.Reader) (Design, error) {
	doc, err := tomlplace.Read(r)
	var wrong *tomlplace.Error
	if errors.As(err, &wrong) {
		return Design{}, Errors{{File: name, Line: wrong.Line, Column: wrong.Column, Key: wrong.Key, Problem: wrong.Problem, Accept: wrong.Accept}}
	}
	if err != nil {
		return Design{}, fmt.Errorf("reading design %s: %w", name, err)
	}
	found := resolve(doc.Values)
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
	return found.design, nil
}

// ReadFile reads a design from a regular file on disk. Errors name the path as given.
func ReadFile(path string) (Design, error) {
	f, err := regularfile.Open(path)
	if err != nil {
		return Design{}, fmt.Errorf("opening design: %w", err)
	}
	defer f.Close()
	d, err := Read(path, f)
	if err != nil {
		return Design{}, err
	}
	d.Folder = filepath.Dir(path)
	return d, nil
}
