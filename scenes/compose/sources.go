package scenes

import (
	"bytes"
	"io"
	"os"
	"path/filepath"

	"lodegrid/field/regularfile"
	"lodegrid/field/tomlplace"
)

// Sources returns what Open reads for a path: the file itself; of a folder, its pictures
// too; of a scene file, what its clips are read from. What cannot be read is left out:
// Open tells of it.
func Sources(path string) []string {
	list := []string{path}
	if entries, err := os.ReadDir(path); err == nil {
		for _, e := range entries {
			if isPictureName(e.Name()) {
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
	if identify(head[:n], path) != kindScene {
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
		if !ok || identify(nil, name) == kindScene {
			continue
		}
		if !filepath.IsAbs(name) {
			name = filepath.Join(filepath.Dir(path), name)
		}
		list = append(list, Sources(name)...)
	}
	return list
}

// IsTable tells whether a file that begins so is a binary frame table.
func IsTable(head []byte) bool { return bytes.HasPrefix(head, []byte(tableMark)) }
