package design

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"lodegrid/field/regularfile"
)

// MaxBytes is the largest design file that is read, a dozen times a full one. The TOML
// library looks for keys given twice in a time that grows with the square of their
// number; at this size the worst file costs a second or two.
const MaxBytes = 128 << 10

// Read reads a design file; name stands for it in errors. Everything wrong with the
// file is reported together, as Errors; a breach of the TOML syntax hides what
// follows it.
func Read(name string, r io.Reader) (Design, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return Design{}, fmt.Errorf("reading design %s: %w", name, err)
	}
	if len(data) > MaxBytes {
		return Design{}, Errors{{File: name, Problem: fmt.Sprintf("the file is larger than %d bytes; that is no design file", MaxBytes),
			Accept: fmt.Sprintf("up to %d bytes", MaxBytes)}}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff")) // some editors write this mark
	doc, wrong := parse(data)
	if wrong != nil {
		wrong.File = name
		return Design{}, Errors{wrong}
	}
	found := resolve(doc.values)
	var list Errors
	for _, f := range found.faults {
		at := doc.find(f.path, f.atKey)
		list = append(list, &Error{File: name, Line: at.line, Column: at.column, Key: f.path, Problem: f.problem, Accept: f.accept})
	}
	if err := list.err(); err != nil {
		return Design{}, err
	}
	return found.design, nil
}

// find returns where to point for a fault: at the value, at the key when the key is
// the mistake, or at the section when the file does not mention the key.
func (doc document) find(path string, key bool) place {
	if at, ok := doc.texts[path]; ok && !key {
		return at
	}
	for path != "" {
		if at, ok := doc.keys[path]; ok {
			return at
		}
		path = path[:max(0, strings.LastIndexByte(path, '.'))]
	}
	return place{}
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

// Default returns the design of an empty file: every key at its default.
func Default() Design { return resolve(nil).design }
