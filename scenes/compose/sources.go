package compose

import (
	"bytes"
	"io"
	"os"
	"path/filepath"

	"lodegrid/field/regularfile"
	"lodegrid/field/tomlplace"
	"lodegrid/scenes/read"
)

// Sources returns what Open reads for a path: the file itself; of a folder, its pictures
// too; of a scene file, what its clips are read from. What cannot be read is left out:
// Open tells of it.
func Sources(path string) []string {
	list := []string{path}
	if entries, err := os.ReadDir(path); err == nil {
		for _, e := range entries {
			if read.IsPicture(e.Name()) {
				list = append(list, filepath.Join(path, e.Name()))
			}
		}
		return list
	}
	f, err := regularfile.Open(path)
	if err != nil {
		return list
	}
	defer f.Close()
	head := make([]byte, 16)
	n, _ := io.ReadFull(f, head) // a short file is one, too
	if read.Identify(head[:n], path) != read.KindScene {
		return list
	}
	doc, err := tomlplace.Read(io.MultiReader(bytes.NewReader(head[:n]), f))
	if err != nil {
		return list
	}
	clips, _ := doc.Values["clip"].([]any)
	for _, c := range clips {
		clip, _ := c.(map[string]any)
		name, ok := clip["file"].(string)
		if !ok || read.Identify(nil, name) == read.KindScene {
			continue
		}
		if !filepath.IsAbs(name) {
			name = filepath.Join(filepath.Dir(path), name)
		}
		list = append(list, Sources(name)...)
	}
	return list
}
