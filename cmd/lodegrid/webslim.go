//go:build !js

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// methodByName is where text/template calls a method by its name. While a program holds that
// call the linker keeps every exported method of every type it has. The page's templates call
// none, and Ebitengine's own fill in fields alone.
const methodByName = "ptr.MethodByName(fieldName)"

// chartFonts are the packages of fonts that gonum.org/v1/plot asks for; charts use the first.
const (
	chartFonts = "codeberg.org/go-fonts/liberation"
	chartFont  = "liberationsansregular"
)

// slim writes into the folder tmp what makes the browser's program a third smaller when it is
// compressed, and returns the arguments that tell the Go tool of it: a copy of text/template
// that calls no method by name, and a module in which every font is the one that charts use.
// Where a later Go or module has another form, that part is left out, and the program is larger.
func slim(ctx context.Context, tool, source, tmp string) ([]string, error) {
	list := exec.CommandContext(ctx, tool, "list", "-f", "{{.Dir}}", "text/template", chartFonts+"/"+chartFont)
	list.Dir, list.Env = source, append(os.Environ(), "GOFLAGS=")
	said, err := list.Output()
	if err != nil {
		return nil, fmt.Errorf("asking the Go tool where its sources are: %w", err)
	}
	templates, font, _ := strings.Cut(strings.TrimSpace(string(said)), "\n")
	var args []string
	write := func(name string, data []byte) {
		if err == nil {
			if err = os.MkdirAll(filepath.Dir(name), 0o700); err == nil {
				err = os.WriteFile(name, data, 0o600)
			}
		}
	}

	file := filepath.Join(templates, "exec.go")
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	if bytes.Count(text, []byte(methodByName)) == 1 {
		replaced, overlay := filepath.Join(tmp, "exec.go"), filepath.Join(tmp, "overlay.json")
		write(replaced, bytes.Replace(text, []byte(methodByName), []byte("(reflect.Value{})"), 1))
		places, _ := json.Marshal(map[string]map[string]string{"Replace": {file: replaced}})
		write(overlay, places)
		args = append(args, "-overlay", overlay)
	}

	names, _ := filepath.Glob(filepath.Join(filepath.Dir(font), "*", "*.ttf"))
	if len(names) < 2 {
		return args, err
	}
	module, mod := filepath.Join(tmp, "fonts"), filepath.Join(tmp, "slim.mod")
	for _, n := range names {
		name := filepath.Base(filepath.Dir(n))
		code := fmt.Sprintf("package %s\n\nimport %q\n\nvar TTF = %s.TTF\n", name, chartFonts+"/"+chartFont, chartFont)
		if name == chartFont {
			data, err := os.ReadFile(n)
			if err != nil {
				return nil, err
			}
			write(filepath.Join(module, name, "font.ttf"), data)
			code = fmt.Sprintf("package %s\n\nimport _ \"embed\"\n\n//go:embed font.ttf\nvar TTF []byte\n", name)
		}
		write(filepath.Join(module, name, "font.go"), []byte(code))
	}
	write(filepath.Join(module, "go.mod"), []byte("module "+chartFonts+"\n"))
	for from, to := range map[string]string{"go.mod": mod, "go.sum": filepath.Join(tmp, "slim.sum")} {
		data, err := os.ReadFile(filepath.Join(source, from))
		if err != nil {
			return nil, err
		}
		if to == mod {
			data = fmt.Appendf(data, "\nreplace %s => %q\n", chartFonts, module)
		}
		write(to, data)
	}
	return append(args, "-modfile", mod), err
}
