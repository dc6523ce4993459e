package main

import (
	_ "embed"
	"fmt"
	"io"
	"strings"
	"text/template"

	"lodegrid/field/quantity"
	"lodegrid/field/tomlplace"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/read"
)

// topic is a part of the help that belongs to no one subcommand.
type topic struct {
	name, short string
	write       func(io.Writer) error
}

func topics() []topic {
	return []topic{
		{"scenes", "what can be played: the formats of pictures, sound, tables and scene files", writeScenesTopic},
		{"files", "what may be replaced, and what never is", func(w io.Writer) error { _, err := io.WriteString(w, filesTopic); return err }},
		{"exit-codes", "what the program's exit codes mean", writeExitCodes},
	}
}

//go:embed topic_scenes.txt
var scenesTopic string

//go:embed topic_files.txt
var filesTopic string

// writeScenesTopic fills the bounds and names of the readers into the text.
func writeScenesTopic(w io.Writer) error {
	limits, options := scenes.DefaultLimits(), read.DefaultOptions()
	t, err := template.New("scenes").Funcs(template.FuncMap{"join": strings.Join, "ms": func(s float64) string { return fmt.Sprintf("%s ms", quantity.Figure(s*1e3, 4)) }}).Parse(scenesTopic)
	if err != nil {
		return err
	}
	return t.Execute(w, map[string]any{
		"Kinds": generate.Kinds(), "Options": options, "Windows": read.WindowNames(), "Mappings": mappings, "Fits": fits,
		"Megabytes": limits.Bytes >> 20, "Megapixels": limits.PicturePixels / 1e6, "FilmMegapixels": limits.WorkPixels / 1e6,
		"Frames": limits.Frames, "MebiLevels": limits.Levels >> 20, "Days": limits.Duration / 86400, "SceneFile": tomlplace.MaxBytes >> 10,
	})
}
