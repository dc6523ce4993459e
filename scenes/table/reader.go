package table

import _ "embed"

// Reader is the C99 header that reads a binary table in firmware.
//
//go:embed reader.h
var Reader []byte
