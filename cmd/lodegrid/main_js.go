package main

import (
	"context"
	"fmt"
	"syscall/js"

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
	flags, _ := newFlagSet(command{name: "web", reads: designAndScene, setup: func(*flagSet) body { return nil }}) // none is given
	scene := &flags.scene
	ctx, d := context.Background(), design.Demo()
	s, err := scene.played(ctx, d)
	if err != nil {
		return err
	}
	return live.Run(ctx, live.Options{Design: d, Scene: s, SceneFor: scene.played, Film: filmTo, Report: reportTo})
}
