package main

import (
	"context"
	"fmt"
	"hash/fnv"
	"strings"
	"syscall/js"

	"lodegrid/array/design"
	"lodegrid/render/live"
	"lodegrid/render/live/scope"
)

// In a browser the command is the window alone, with the design and the scene that the
// page brings; others are dropped on it.
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
	ctx, start := context.Background(), js.Global().Get("lodegridStart")
	text, levels := start.Get("design").String(), start.Get("scene").String()
	o := live.Options{SceneFor: flags.scene.open, Carry: carry, Film: filmTo, Report: reportTo, Dark: start.Get("dark").Truthy()}
	var err error
	if o.Design, err = design.Read("design.toml", strings.NewReader(text)); err != nil {
		return err
	}
	g := o.Design.Grid
	if o.Scene, err = scope.ReadPictures(ctx, start.Get("name").String(), levels, start.Get("wanted").String(), g.Rows, g.Cols); err != nil {
		return err
	}
	// What was changed and painted is kept by the browser, for this design and scene.
	h := fnv.New64a()
	h.Write([]byte(text + levels))
	key, store := fmt.Sprintf("lodegrid-%x", h.Sum64()), start.Get("store")
	if store.Truthy() { // null where the browser keeps nothing
		o.Kept = map[live.Part][]byte{}
		for _, part := range live.Parts() {
			if v := store.Call("getItem", key+"-"+string(part)); v.Type() == js.TypeString {
				o.Kept[part] = []byte(v.String())
			}
		}
		o.Keep = func(part live.Part, data []byte) (ok bool) {
			defer func() { ok = recover() == nil }() // a full store throws
			store.Call("setItem", key+"-"+string(part), string(data))
			return
		}
	}
	return live.Run(ctx, o)
}

// webCommand makes nothing in a browser: a page makes no pages, and is smaller without what
// serves them.
var webCommand = command{name: "web"}
