//go:build !js

package main

import (
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// checkLoopback refuses an address that others could reach.
func checkLoopback(address string) error {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return usageError{fmt.Sprintf("--serve %s: want localhost:PORT", address)}
	}
	if n, err := strconv.ParseUint(port, 10, 16); err != nil {
		return usageError{fmt.Sprintf("--serve %s: port %q: 0…65535 is possible", address, port)}
	} else if !isLoopback(host) {
		return usageError{fmt.Sprintf("--serve %s: the page is served on this machine alone; want localhost:%d. To show it to others, put the folder of --out on a web server", address, n)}
	}
	return nil
}

// isLoopback tells whether a host is this machine, by name or by number.
func isLoopback(host string) bool {
	if host == "localhost" {
		return true
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

// serve serves the page until ctx ends, whose error it gives then.
func (p page) serve(ctx context.Context, address string, out io.Writer) error {
	host, port, _ := net.SplitHostPort(address)
	if host == "localhost" {
		host = "127.0.0.1" // whatever the name is made to mean here
	}
	listener, err := net.Listen("tcp", net.JoinHostPort(host, port))
	if err != nil {
		return fmt.Errorf("serving the page at %s: %w", address, err)
	}
	server := &http.Server{Handler: p.handler(), ReadHeaderTimeout: 10 * time.Second, IdleTimeout: time.Minute}
	at := listener.Addr().(*net.TCPAddr)
	shown := "localhost"
	if at.IP.To4() == nil {
		shown = "[" + at.IP.String() + "]"
	}
	fmt.Fprintf(out, "http://%s:%d/\n", shown, at.Port)
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err := <-failed:
		return fmt.Errorf("serving the page at %s: %w", address, err)
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.Background(), patience/2)
	defer cancel()
	if err := server.Shutdown(end); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return fmt.Errorf("ending the server at %s: %w", address, err)
	}
	return ctx.Err()
}

// policy lets the page ask for nothing from anywhere else.
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'; style-src 'self'; img-src 'self' data: blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// handler serves the page's files to this machine: names that a page elsewhere could
// have made to lead here are refused.
func (p page) handler() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host := r.Host
		if h, _, err := net.SplitHostPort(host); err == nil {
			host = h
		}
		if !isLoopback(strings.Trim(host, "[]")) {
			http.Error(w, "this page is served to this machine alone, at localhost", http.StatusForbidden)
			return
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			w.Header().Set("Allow", "GET, HEAD")
			http.Error(w, "only GET and HEAD are possible", http.StatusMethodNotAllowed)
			return
		}
		name := cmp.Or(strings.TrimPrefix(r.URL.Path, "/"), "index.html")
		f, ok := p.find(name)
		if !ok {
			http.NotFound(w, r)
			return
		}
		h := w.Header()
		h.Set("Content-Type", f.kind)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Content-Security-Policy", policy)
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cache-Control", "no-cache")
		tag := fmt.Sprintf(`"%x"`, sha256.Sum256(f.data))
		h.Set("ETag", tag)
		if r.Header.Get("If-None-Match") == tag {
			w.WriteHeader(http.StatusNotModified)
			return
		}
		h.Set("Content-Length", strconv.Itoa(len(f.data)))
		if r.Method == http.MethodHead {
			return
		}
		_, _ = w.Write(f.data) // a browser that went away is not our error
	})
}

func (p page) find(name string) (pageFile, bool) {
	for _, f := range p {
		if f.name == name {
			return f, true
		}
	}
	return pageFile{}, false
}
