//go:build !js

package main

import (
	"context"
	"fmt"
	"io"
	"regexp"

	"lodegrid/render/output"
)

var webCommand = command{
	name: "web", reads: designAndScene, short: "the window as a page for the browser: written to a folder, or served on this machine",
	long: `Makes a page that runs the window of lodegrid play in a browser: the program is
compiled to WebAssembly and computes there, so no design, scene or result leaves the
machine. It starts with the design and the scene named here, and after a reload with
what was changed and painted since. --out writes the page's files into a folder for any
web server; --serve serves them on this machine alone, e.g. --serve localhost:8080.

The program for the browser is taken from lodegrid.wasm beside the lodegrid command, so
that nobody needs the Go tool to whom both are given with wasm_exec.js. Where it is not
there it is built with the Go tool from lodegrid's source, which must be in the working
directory or above it, or beside the command. So the two files of a page that --out wrote
with the Go tool are what to give to others. --wasm takes a program that was built before,
with the file wasm_exec.js of the same Go (lib/wasm in its folder) beside it or named by
--wasm-exec.

The program comes packed with gzip, 7.5 MB, whatever the server. One that packs
lodegrid.wasm with Brotli, by itself or beforehand (brotli -q 9 lodegrid.wasm beside it),
has to send 6 MB.`,
	setup: func(f *flagSet) body {
		f.silent = true
		out := f.folder("", "folder for the page's files", output.Kind{Files: webFiles, Speaker: "index.html"})
		serve := f.String("serve", "", "serve the page at this address until interrupted: localhost:PORT; port 0 takes a free one")
		wasm := f.String("wasm", "", "the program for the browser, built before (default: lodegrid.wasm beside the command, or build it)")
		exec := f.String("wasm-exec", "", "wasm_exec.js of the Go that built it (default: beside --wasm, or the Go tool's own)")
		f.check(func() error {
			switch {
			case !out.Asked() && *serve == "":
				return usageError{"nothing to do: --out names a folder for the page, --serve an address to serve it at"}
			case *serve != "":
				if err := checkLoopback(*serve); err != nil {
					return err
				}
			}
			if *wasm == "" {
				*wasm = shippedProgram()
			}
			f.plan.Reads("the program for the browser", *wasm)
			f.plan.Reads(webGlue, *exec, besideProgram(*wasm))
			return nil
		})
		return func(ctx context.Context, j *job) error {
			p, err := webPage(ctx, j, *wasm, *exec)
			if err != nil {
				return err
			}
			if out.Asked() {
				if err := p.write(out); err != nil {
					return err
				}
				fmt.Fprintf(j.err, "the page is in %s; any web server can give it out; it does not open as a file\n", out.Path)
			}
			if *serve == "" {
				return nil
			}
			if err := f.plan.Commit(); err != nil { // the folder is there while the page is served
				return err
			}
			return p.serve(ctx, *serve, j.out)
		}
	},
}

// webFiles are the names of the page's files in its folder.
var webFiles = regexp.MustCompile(`^(index\.html|page\.css|start\.js|wasm_exec\.js|licences\.txt|design\.toml|(levels|wanted)\.txt|lodegrid\.wasm(\.gz)?)$`)

// write puts the page's files into a folder.
func (p page) write(out *output.Target) error {
	for _, f := range p {
		if err := out.WriteFile(f.name, func(w io.Writer) error {
			_, err := w.Write(f.data)
			return err
		}); err != nil {
			return err
		}
	}
	return nil
}
