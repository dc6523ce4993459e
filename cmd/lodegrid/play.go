package main

import (
	"context"
	"strings"
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
			flags.StringVar(&o.Overlay, "overlay", "", "what lies over the tank at the start: "+strings.Join(live.OverlayNames(), ", "))
			flags.BoolVar(&o.Dark, "dark", false, "dark colours")
			flags.BoolVar(&o.Paused, "paused", false, "start paused")
			flags.BoolVar(&o.Warm, "warm", false, "start as hot as the looping scene gets")
			flags.IntVar(&o.Width, "width", 0, "width of the window in pixels (default 1280)")
			flags.IntVar(&o.Height, "height", 0, "height of the window in pixels (default 800)")
			scene.declare(flags)
			changes.declare(flags)
			return func(ctx context.Context, _ streams, args []string) error {
				var err error
				if o.Design, o.Scene, err = openBoth(ctx, args, &changes, &scene); err != nil {
					return err
				}
				o.SceneFor = scene.open // a dropped design is played as the flags say
				return live.Run(ctx, o)
			}
		},
	}
}
