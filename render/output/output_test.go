package output

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

func write(t *testing.T, path, text string) string {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// holds tells what else than the named files a folder holds.
func holds(t *testing.T, folder string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	left := map[string]bool{}
	for _, n := range names {
		left[n] = true
	}
	for _, e := range entries {
		if !left[e.Name()] {
			t.Errorf("%s is left behind", e.Name())
		}
		delete(left, e.Name())
	}
	for n := range left {
		t.Errorf("%s is missing", n)
	}
}

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

// plan makes a plan of targets by flag and path, all of them of one kind.
func plan(k Kind, paths ...string) (*Plan, []*Target) {
	p := &Plan{Stdout: io.Discard}
	var list []*Target
	for i, path := range paths {
		t := p.Target([]string{"one", "two", "three"}[i], k)
		t.Path = path
		list = append(list, t)
	}
	return p, list
}

// A file is written whole or not at all: what stood there stays when the new one fails,
// and nothing else is left behind. It keeps its mode, and a link stays a link.
func TestReplace(t *testing.T) {
	dir := t.TempDir()
	path := write(t, filepath.Join(dir, "old.txt"), "old")
	broken := errors.New("no more")
	err := Replace(path, func(w io.Writer) error {
		if err := text("new, half")(w); err != nil {
			return err
		}
		return broken
	})
	if !errors.Is(err, broken) || !strings.Contains(err.Error(), "old.txt") || read(t, path) != "old" {
		t.Errorf("%v; the file holds %q", err, read(t, path))
	}
	if err := os.Chmod(path, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := Replace(path, text("new")); err != nil || read(t, path) != "new" {
		t.Errorf("%v; the file holds %q", err, read(t, path))
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v; the file's mode became %v", err, info.Mode())
	}
	for link, leads := range map[string]string{"link.txt": "old.txt", "far.txt": "link.txt", "dangling.txt": "made.txt"} {
		if err := os.Symlink(leads, filepath.Join(dir, link)); err != nil {
			t.Fatal(err)
		}
	}
	for _, link := range []string{"far.txt", "dangling.txt"} {
		if err := Replace(filepath.Join(dir, link), text("newer")); err != nil {
			t.Error(err)
		}
		if info, err := os.Lstat(filepath.Join(dir, link)); err != nil || info.Mode()&os.ModeSymlink == 0 {
			t.Errorf("the link %s became a file: %v", link, err)
		}
	}
	if read(t, path) != "newer" || read(t, filepath.Join(dir, "made.txt")) != "newer" {
		t.Error("what a link leads to was not written")
	}
	if err := Replace(dir, text("new")); err == nil || !strings.Contains(err.Error(), "folder") {
		t.Errorf("a folder: %v", err)
	}
	if err := os.Chmod(path, 0o400); err != nil {
		t.Fatal(err)
	}
	if err := Replace(path, text("new")); err == nil || !strings.Contains(err.Error(), "protected") || read(t, path) != "newer" {
		t.Errorf("a protected file: %v", err)
	}
	holds(t, dir, "old.txt", "link.txt", "far.txt", "dangling.txt", "made.txt")
}

// What is read is never written, by whatever path it is reached, forced or not.
func TestInputsAreSpared(t *testing.T) {
	dir := t.TempDir()
	sub := filepath.Join(dir, "sub")
	pictures := filepath.Join(dir, "pictures")
	for _, d := range []string{sub, pictures} {
		if err := os.Mkdir(d, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	in := write(t, filepath.Join(dir, "sign.toml"), "name = \"a\"\n")
	elsewhere := write(t, filepath.Join(dir, "elsewhere.png"), "a picture")
	for link, leads := range map[string]string{"link.toml": "sign.toml", "away": "sub", "pictures/a.png": "../elsewhere.png", "same": "pictures"} {
		if err := os.Symlink(leads, filepath.Join(dir, link)); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Link(in, filepath.Join(sub, "hard.toml")); err != nil {
		t.Fatal(err)
	}
	for _, force := range []bool{false, true} {
		for _, out := range []string{
			in, filepath.Join(dir, "link.toml"), filepath.Join(sub, "hard.toml"), dir + "/sub/../sign.toml", dir + "/away/../sign.toml", dir + "//./sign.toml",
			elsewhere, filepath.Join(pictures, "new.png"), filepath.Join(dir, "same", "new.PNG"),
		} {
			p, _ := plan(Kind{}, out)
			p.Force = force
			p.Reads("the design", in)
			p.Reads("the scene", pictures, filepath.Join(pictures, "a.png"))
			var mistake Mistake
			if err := p.Prepare(); !errors.As(err, &mistake) || !strings.Contains(err.Error(), "which is read") {
				t.Errorf("%s, forced %v: %v", out, force, err)
			}
		}
		// A film's folder must not be the scene's, nor hold a picture of it.
		frames := Kind{Files: regexp.MustCompile(`^[a-z]\.png$`)}
		for _, out := range []string{pictures, filepath.Join(dir, "same"), dir} {
			p, list := plan(frames, out)
			list[0].folder = true
			p.Force = force
			p.Reads("the scene", pictures, write(t, filepath.Join(dir, "b.png"), "a picture"))
			var mistake Mistake
			if err := p.Prepare(); !errors.As(err, &mistake) {
				t.Errorf("a folder at %s, forced %v: %v", out, force, err)
			}
		}
	}
	p, _ := plan(Kind{}, filepath.Join(dir, "other.toml"), filepath.Join(pictures, "notes.txt"))
	p.Reads("the design", in)
	p.Reads("the scene", pictures)
	if err := errors.Join(p.Prepare(), p.Discard()); err != nil {
		t.Errorf("other names: %v", err)
	}
	if f, err := os.OpenFile(in, os.O_APPEND|os.O_WRONLY, 0); err != nil {
		t.Fatal(err)
	} else {
		p := &Plan{Stdout: f}
		p.Reads("the design", in)
		if err := p.Prepare(); err == nil || !strings.Contains(err.Error(), "standard output") {
			t.Errorf("the standard output on the design: %v", err)
		}
		f.Close()
	}
	if read(t, in) != "name = \"a\"\n" || read(t, elsewhere) != "a picture" {
		t.Error("an input was changed")
	}
	holds(t, dir, "sub", "pictures", "sign.toml", "link.toml", "away", "same", "elsewhere.png", "b.png")
}

// Two flags that lead to one file are refused, whether the file is there or not.
func TestOneFileTwice(t *testing.T) {
	dir := t.TempDir()
	if err := os.Symlink(".", filepath.Join(dir, "here")); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("a.txt", filepath.Join(dir, "b.txt")); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		for _, second := range []string{"a.txt", "b.txt", "here/a.txt", "./a.txt"} {
			p, _ := plan(Kind{}, filepath.Join(dir, "a.txt"), dir+"/"+second)
			var mistake Mistake
			if err := p.Prepare(); !errors.As(err, &mistake) || !strings.Contains(err.Error(), "--one") || !strings.Contains(err.Error(), "--two") {
				t.Errorf("a.txt and %s: %v", second, err)
			}
		}
		write(t, filepath.Join(dir, "a.txt"), "")
	}
	if p, _ := plan(Kind{}, "-", "-"); p.CheckNames() == nil {
		t.Error("two files on the standard output")
	}
	p, list := plan(Kind{}, os.DevNull, os.DevNull)
	if err := errors.Join(p.CheckNames(), p.Prepare(), list[0].Write(text("x")), list[1].Write(text("y")), p.Commit()); err != nil {
		t.Errorf("twice to nowhere: %v", err)
	}
	// A file in a folder that another flag fills.
	folder := filepath.Join(dir, "frames")
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	p, list = plan(Kind{Files: regexp.MustCompile(`^frame`)}, filepath.Join(folder, "frame1"), folder)
	list[1].folder = true
	if err := p.Prepare(); err == nil {
		t.Error("a file among those of a folder")
	}
	holds(t, dir, "a.txt", "b.txt", "here", "frames")
}

// Another file is replaced only by force, one of ours without; a file that is its user's
// own work as soon as it is written only by force.
func TestMarks(t *testing.T) {
	dir := t.TempDir()
	png := "\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR" + strings.Repeat("x", 17) + "\x00\x00\x00\x00IDATrest"
	for _, c := range []struct {
		name    string
		form    Form
		content string // as its writer gives it
		own     bool
	}{
		{"a.txt", Text, "Sign: report\n", true},
		{"a.csv", CSV, "a,b\r\n1,2\r\n", true},
		{"a.json", Bare, "{\n  \"schema_version\": 1,\n  \"program\": \"lodegrid\",\n  \"kind\": \"coil\"\n}\n", true},
		{"a.svg", XML, "<svg></svg>", true},
		{"a.html", XML, "<!doctype html></html>\n", true},
		{"a.png", PNG, png, true},
		{"a.gif", Bare, "GIF89a" + strings.Repeat("p", 800) + GIFMark + "more", true},
		{"a.lvt", Bare, "\x89LVLT\r\n\x1a\x01\x00", true},
		{"frames.csv", Bare, "duration_s,r1c1\n1,1\n", false},
		{"notes.txt", Bare, "it was\nwritten by lodegrid\nand then by me\n", false},
		{"other.json", Bare, "{\n  \"x\": 1,\n  \"about\": {\"program\": \"lodegrid\"}\n}\n", false},
		{"other.png", Bare, png, false},
		{"other.gif", Bare, "GIF89a" + strings.Repeat("p", 900), false},
		{"other.svg", Bare, "<svg></svg>\n<!-- written by somebody -->\n", false},
		{"link.toml", Bare, "name = \"mine\"\n", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(dir, c.name)
			run := func(k Kind, force bool) error {
				p, list := plan(k, path)
				p.Force, list[0].Form = force, c.form
				if err := p.Prepare(); err != nil {
					return err
				}
				// In pieces, as writers do.
				return errors.Join(list[0].Write(func(w io.Writer) error {
					for i := range len(c.content) {
						if err := text(c.content[i : i+1])(w); err != nil {
							return err
						}
					}
					return nil
				}), p.Commit())
			}
			if err := run(Kind{}, false); err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(strings.ReplaceAll(read(t, path), pngMark, ""), c.content) {
				t.Errorf("the mark changed the content: %q", read(t, path))
			}
			again := run(Kind{}, false)
			if c.own && again != nil || !c.own && (again == nil || !strings.Contains(again.Error(), "--force")) {
				t.Errorf("over itself: %v", again)
			}
			if err := run(Kind{Yours: true}, false); err == nil || !strings.Contains(err.Error(), "--force") {
				t.Errorf("as the user's own work: %v", err)
			}
			if err := run(Kind{Yours: true}, true); err != nil {
				t.Errorf("by force: %v", err)
			}
		})
	}
	// Nothing is lost with an empty file.
	empty := write(t, filepath.Join(dir, "empty"), "")
	p, list := plan(Kind{Yours: true}, empty)
	if err := errors.Join(p.Prepare(), list[0].Write(text("x")), p.Commit()); err != nil || read(t, empty) != "x" {
		t.Errorf("an empty file: %v", err)
	}
}

// What appears in the place while the run computes is kept, too.
func TestAppearsMeanwhile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	p, list := plan(Kind{}, path)
	if err := errors.Join(p.Prepare(), list[0].Write(text("ours"))); err != nil {
		t.Fatal(err)
	}
	write(t, path, "the user's")
	if err := p.Commit(); err == nil || read(t, path) != "the user's" {
		t.Errorf("%v; the file holds %q", err, read(t, path))
	}
	holds(t, dir, "a.txt")
}

// The files of a run appear together or not at all.
func TestTogether(t *testing.T) {
	dir := t.TempDir()
	one, two := filepath.Join(dir, "one"), filepath.Join(dir, "two")
	p, list := plan(Kind{}, one, two)
	if err := errors.Join(p.Prepare(), list[0].Write(text("1"))); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(one); err == nil {
		t.Error("a file appears before the run is over")
	}
	if err := p.Discard(); err != nil {
		t.Fatal(err)
	}
	holds(t, dir)
	// One that was not filled in the end does not appear.
	p, list = plan(Kind{}, one, two)
	if err := errors.Join(p.Prepare(), list[0].Write(text("1")), p.Commit()); err != nil {
		t.Fatal(err)
	}
	holds(t, dir, "one")
	// A missing folder shows before anything is computed.
	p, _ = plan(Kind{}, filepath.Join(dir, "nope", "x"))
	if err := p.Prepare(); err == nil || !strings.Contains(err.Error(), "nope") {
		t.Errorf("a missing folder: %v", err)
	}
	p, _ = plan(Kind{}, filepath.Join(one, "x"))
	if err := p.Prepare(); err == nil {
		t.Error("a file for a folder")
	}
	for _, c := range []struct{ path, says string }{{"a.pdf", ".svg or .png"}, {"a", ".svg or .png"}} {
		p, _ := plan(Kind{Endings: []string{".svg", ".png"}}, c.path)
		if err := p.CheckNames(); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.path, err)
		}
	}
}

// A folder holds the files of the last run and what others put there.
func TestFolder(t *testing.T) {
	dir := t.TempDir()
	kind := Kind{Endings: []string{".gif"}, Files: regexp.MustCompile(`^f[0-9]\.png$`)}
	png := "\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR" + strings.Repeat("x", 17) + "rest"
	fill := func(folder string, force bool, names ...string) error {
		p, list := plan(kind, folder)
		p.Force = force
		if err := errors.Join(p.CheckNames(), p.Prepare()); err != nil {
			return err
		}
		for _, n := range names {
			if err := list[0].WriteFile(n, text(png)); err != nil {
				return err
			}
		}
		return p.Commit()
	}
	folder := filepath.Join(dir, "new", "deep")
	if err := fill(folder, false, "f1.png", "f2.png", "f3.png"); err != nil {
		t.Fatal(err)
	}
	holds(t, dir, "new")
	holds(t, folder, "f1.png", "f2.png", "f3.png")
	write(t, filepath.Join(folder, "notes.txt"), "mine")
	if err := fill(folder, false, "f1.png"); err != nil {
		t.Fatal(err)
	}
	holds(t, folder, "f1.png", "notes.txt")
	// A picture of somebody else under such a name is in the way, wherever it stands.
	write(t, filepath.Join(folder, "f9.png"), "a picture")
	if err := fill(folder, false, "f1.png"); err == nil || !strings.Contains(err.Error(), "f9.png") {
		t.Errorf("somebody else's picture: %v", err)
	}
	if err := fill(folder, true, "f1.png", "f2.png"); err != nil {
		t.Error(err)
	}
	holds(t, folder, "f1.png", "f2.png", "f9.png", "notes.txt")
	if read(t, filepath.Join(folder, "f9.png")) != "a picture" {
		t.Error("somebody else's picture was changed")
	}
	// A run that fails leaves the folder as it was, and makes none.
	p, list := plan(kind, filepath.Join(dir, "never"))
	if err := errors.Join(p.CheckNames(), p.Prepare(), list[0].WriteFile("f1.png", text(png)), p.Discard()); err != nil {
		t.Error(err)
	}
	holds(t, dir, "new")
	if !strings.HasPrefix(read(t, filepath.Join(folder, "f1.png")), png[:pngHead]+pngMark) {
		t.Error("a picture without a mark")
	}
}

func TestNew(t *testing.T) {
	dir := t.TempDir()
	for _, want := range []string{"a.csv", "a-2.csv", "a-3.csv"} {
		path, err := New(dir, "a", ".csv", text(want))
		if err != nil || filepath.Base(path) != want || read(t, path) != want {
			t.Errorf("%s, %v; want %s", path, err, want)
		}
	}
	if _, err := New(filepath.Join(dir, "none"), "a", ".csv", text("")); err == nil {
		t.Error("saved into no folder")
	}
	holds(t, dir, "a.csv", "a-2.csv", "a-3.csv")
}

// After Abandon nothing of this process is left, and nothing appears any more.
func TestAbandon(t *testing.T) {
	defer func() { live.ended = false }()
	dir := t.TempDir()
	p, list := plan(Kind{}, filepath.Join(dir, "a"), filepath.Join(dir, "b"))
	list[1].Kind.Files, list[1].folder = regexp.MustCompile(`x`), true
	if err := errors.Join(p.Prepare(), list[0].Write(text("a")), list[1].WriteFile("x", text("x"))); err != nil {
		t.Fatal(err)
	}
	Abandon()
	holds(t, dir)
	if err := p.Commit(); !errors.Is(err, context.Canceled) {
		t.Errorf("a commit after the end: %v", err)
	}
	if err := Replace(filepath.Join(dir, "c"), text("c")); !errors.Is(err, context.Canceled) {
		t.Errorf("a file after the end: %v", err)
	}
	holds(t, dir)
}

// Whatever a file holds, looking for a mark ends, and a mark put on it is found, however
// its writer cuts it.
func FuzzMark(f *testing.F) {
	f.Add("GIF89a", uint8(3))
	f.Add("{\n  \"program\": \"lodegrid\",", uint8(1))
	f.Add("\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x06\x00\x00\x00\x00\x00\x00\x00", uint8(7))
	f.Add("text\n", uint8(255))
	f.Fuzz(func(t *testing.T, content string, cut uint8) {
		marked(content[:min(len(content), markReach)], content[max(0, len(content)-markReach):])
		for _, form := range []Form{Text, CSV, XML, PNG} {
			var b bytes.Buffer
			err := form.mark(&b, func(w io.Writer) error {
				for rest := content; rest != ""; {
					n := min(len(rest), int(cut)+1)
					if err := text(rest[:n])(w); err != nil {
						return err
					}
					rest = rest[n:]
				}
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
			got := b.String()
			if form == PNG {
				if len(content) >= pngHead && got != content[:pngHead]+pngMark+content[pngHead:] {
					t.Errorf("%q became %q", content, got)
				}
				continue
			}
			if !strings.HasPrefix(got, content) {
				t.Errorf("%q became %q", content, got)
			}
			foreign := strings.HasPrefix(got, "\x89PNG\r\n\x1a\n") || strings.HasPrefix(got, "GIF89a") || strings.HasPrefix(got, "{")
			if !foreign && !marked(got[:min(len(got), markReach)], got[max(0, len(got)-markReach):]) {
				t.Errorf("the mark of %q is not found", got)
			}
		}
	})
}
