//go:build !js

package live

import "lodegrid/render/output"

// saveNew writes a file under a name that no file in the folder has yet.
var saveNew = output.New
