package main

import (
	"context"
	"time"

	"github.com/spf13/pflag"

	"lodegrid/render/live"
)

func playCommand() command {
	return command{
		name: "play", args: "[DESIGN]", short: "a window that plays the scene, with live meters and pixels under the pointer",
		long: `Opens a window that plays the scene with live meters; the pointer switches pixels
on. --shot takes a picture of the window at the time --at and exits. Without a
display, use lodegrid film.`,
		setup: func(flags *pflag.FlagSet) action {
			var scene sceneFlags
			var changes changeFlags
			o := live.Options{}
			flags.StringVar(&o.Shot, "shot", "", "PNG file for a picture of the window, then exit")
			flags.DurationVar(&o.ShotAt, "at", 2*time.Second, "scene time of that picture")
			scene.declare(flags)
			changes.declare(flags)
			return func(_ context.Context, _ streams, args []string) error {
				var err error
				if o.Design, o.Scene, err = openBoth(args, &changes, &scene); err != nil {
					return err
				}
				return live.Run(o)
			}
		},
	}
}
