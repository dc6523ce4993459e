package main

import (
	"image/png"
	"io"
	"path/filepath"
	"strings"

	"lodegrid/render"
)

// mapWidth is the width of a map picture in pixels.
const mapWidth = 960

// writeMap writes a map as PNG.
func writeMap(path string, s streams, m render.Map) error {
	if path != "-" && strings.ToLower(filepath.Ext(path)) != ".png" {
		return usageError{"map " + path + ": the name must end in .png"}
	}
	img, err := m.Draw(mapWidth)
	if err != nil {
		return err
	}
	return writeWhole(path, s.out, func(w io.Writer) error { return png.Encode(w, img) })
}
