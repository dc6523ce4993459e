package compose

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// What a scene is read from: the file, a folder with its pictures, a scene file with what
// its clips are read from; nothing beyond.
func TestSources(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, filepath.FromSlash(name)) }
	if err := os.Mkdir(at("pictures"), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, content := range map[string]string{
		"a.gif": "GIF89a", "pictures/1.PNG": "x", "pictures/2.jpg": "x", "pictures/notes.txt": "x", "b.csv": "1,1\n",
		"clips.toml": "[[clip]]\nfile = \"a.gif\"\n[[clip]]\nkind = \"tide\"\n[[clip]]\nfile = \"pictures\"\n[[clip]]\nfile = \"clips.toml\"\n[[clip]]\nfile = 'none.gif'\n[[clip]]\nfile = '" + at("b.csv") + "'\n",
		"odd.toml":   "clip = [1, {file = 2}]\n", "broken.toml": "[[clip]\n",
	} {
		if err := os.WriteFile(at(name), []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for path, want := range map[string][]string{
		"a.gif": {"a.gif"}, "b.csv": {"b.csv"}, "pictures": {"pictures", "pictures/1.PNG", "pictures/2.jpg"},
		"clips.toml": {"clips.toml", "a.gif", "pictures", "pictures/1.PNG", "pictures/2.jpg", "none.gif", "b.csv"},
		"odd.toml":   {"odd.toml"}, "broken.toml": {"broken.toml"}, "none": {"none"},
	} {
		var list []string
		for _, w := range want {
			list = append(list, at(w))
		}
		if got := Sources(at(path)); !slices.Equal(got, list) {
			t.Errorf("%s is read from %v, want %v", path, got, list)
		}
	}
}
