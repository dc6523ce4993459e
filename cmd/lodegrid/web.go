package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"
)

func webCommand() command {
	return command{
		name: "web", args: "", short: "the window as a page for the browser: written to a folder, or served on this machine",
		long: `Makes a page that runs the window of lodegrid play in a browser: the program is
compiled to WebAssembly and computes there, so no design, scene or result leaves the
machine. --out writes the page's files into a folder for any web server; --serve
serves them on this machine alone, e.g. --serve localhost:8080.

The program for the browser is built with the Go tool from lodegrid's source, which
must be in the working directory or above it, or beside the lodegrid command. --wasm
takes a file that was built before:

  GOOS=js GOARCH=wasm go build -o lodegrid.wasm ./cmd/lodegrid

with the file wasm_exec.js of the same Go (lib/wasm in its folder) beside it or named
by --wasm-exec.`,
		setup: func(flags *pflag.FlagSet) action {
			var out, serve, wasm, exec string
			flags.StringVarP(&out, "out", "o", "", "folder for the page's files")
			flags.StringVar(&serve, "serve", "", "serve the page at this address until interrupted: localhost:PORT; port 0 takes a free one")
			flags.StringVar(&wasm, "wasm", "", "the program for the browser, built before (default: build it)")
			flags.StringVar(&exec, "wasm-exec", "", "wasm_exec.js of the Go that built it (default: beside --wasm, or the Go tool's own)")
			return func(ctx context.Context, s streams, args []string) error {
				if len(args) > 0 {
					return usageError{fmt.Sprintf("web takes no design (have %s): drop it on the window", args[0])}
				}
				if out == "" && serve == "" {
					return usageError{"nothing to do: --out names a folder for the page, --serve an address to serve it at"}
				}
				if serve != "" {
					if err := checkLoopback(serve); err != nil {
						return err
					}
				}
				p, err := webPage(ctx, s.err, wasm, exec)
				if err != nil {
					return err
				}
				if out != "" {
					if err := p.write(out, s.out); err != nil {
						return err
					}
					fmt.Fprintf(s.err, "the page is in %s; it needs a web server, it does not open as a file\n", out)
				}
				if serve != "" {
					return p.serve(ctx, serve, s.out)
				}
				return nil
			}
		},
	}
}

// write puts the page's files into a folder, each whole or not at all.
func (p page) write(folder string, out io.Writer) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("making the page's folder: %w", err)
	}
	for _, f := range p {
		if err := writeWhole(filepath.Join(folder, f.name), out, func(w io.Writer) error {
			_, err := w.Write(f.data)
			return err
		}); err != nil {
			return err
		}
	}
	return nil
}
