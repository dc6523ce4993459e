package main

import (
	"context"
	"fmt"
	"syscall/js"

	"github.com/spf13/pflag"

	"lodegrid/array/design"
	"lodegrid/render/live"
)

// In a browser the command is the window alone, with the demo; a design or a scene is
// dropped on it.
func main() {
	if err := window(); err != nil {
		fmt.Println("lodegrid:", err)
		// The page shows it where the window would be.
		if f := js.Global().Get("lodegridFailed"); f.Type() == js.TypeFunction {
			f.Invoke(err.Error())
		}
	}
}

func window() error {
	var scene sceneFlags
	scene.declare(pflag.NewFlagSet("web", pflag.ContinueOnError)) // none is given
	ctx, d := context.Background(), design.Demo()
	s, err := scene.open(ctx, d)
	if err != nil {
		return err
	}
	return live.Run(ctx, live.Options{Design: d, Scene: s, SceneFor: scene.open})
}
