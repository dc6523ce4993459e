package live

import (
	"bytes"
	"io"
	"syscall/js"
)

// saveNew hands a file to the browser, which saves it as a download and finds a free name
// itself.
func saveNew(_, name, ext string, fill func(io.Writer) error) (string, error) {
	var b bytes.Buffer
	if err := fill(&b); err != nil {
		return "", err
	}
	data := js.Global().Get("Uint8Array").New(b.Len())
	js.CopyBytesToJS(data, b.Bytes())
	url := js.Global().Get("URL")
	blob := js.Global().Get("Blob").New([]any{data})
	link := js.Global().Get("document").Call("createElement", "a")
	address := url.Call("createObjectURL", blob)
	link.Set("href", address)
	link.Set("download", name+ext)
	link.Call("click")
	url.Call("revokeObjectURL", address)
	return name + ext, nil
}
