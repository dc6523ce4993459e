package output

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"io"
	"strings"

	"lodegrid/field/regularfile"
	"lodegrid/scenes/table"
)

// The marks by which this program knows a file for its own. A file that a user changed
// at the place of the mark has none. CSV that other machines read, frame tables and
// fields, is left without.
const (
	textMark = "\nwritten by lodegrid\n"               // the last line
	xmlMark  = "<!-- written by lodegrid -->\n"        // the end of HTML, SVG and VTK files
	csvMark  = "\r\nprogram\r\nlodegrid\r\n"           // the last table
	jsonMark = "\n  \"program\": \"" + Program + "\"," // among the first keys

	// Program is the value of the key program in a JSON document.
	Program = "lodegrid"

	// GIFMark is a comment extension (GIF89a, section 24), for after the looping extension.
	GIFMark = "\x21\xfe\x13written by lodegrid\x00"
)

// pngMark is a tEXt chunk with the keyword Software (PNG Third Edition, W3C 2025,
// sections 11.3.3.1 and 11.3.3.2), and pngHead where it stands: behind the signature and
// the header chunk.
var pngMark = pngChunk("tEXt", "Software\x00lodegrid")

const pngHead = 8 + 12 + 13

func pngChunk(kind, data string) string {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	b = append(append(b, kind...), data...)
	return string(binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:])))
}

// markReach is how much of a file's start and of its end is looked at.
const markReach = 2048

// own tells whether a file has a mark, or is a binary frame table, which nothing else
// writes. An empty file is nobody's.
func own(path string) (bool, error) {
	f, err := regularfile.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	head := make([]byte, markReach)
	n, err := io.ReadFull(f, head)
	head = head[:n]
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return false, err
	}
	info, err := f.Stat()
	if err != nil {
		return false, err
	}
	tail := make([]byte, min(markReach, info.Size()))
	if _, err := f.ReadAt(tail, info.Size()-int64(len(tail))); err != nil && err != io.EOF {
		return false, err
	}
	return n == 0 || marked(string(head), string(tail)), nil
}

// marked looks for a mark in the start and the end of a file.
func marked(head, tail string) bool {
	switch {
	case strings.HasPrefix(head, "\x89PNG\r\n\x1a\n"):
		return len(head) > pngHead && strings.HasPrefix(head[pngHead:], pngMark)
	case strings.HasPrefix(head, "GIF89a"):
		return strings.Contains(head, GIFMark)
	case strings.HasPrefix(head, "{"):
		return strings.Contains(head[:min(len(head), 512)], jsonMark)
	case table.IsBinary([]byte(head)):
		return true
	}
	return strings.HasSuffix(tail, textMark) || strings.HasSuffix(tail, csvMark) || strings.HasSuffix(tail, "\n"+xmlMark)
}

// Form is how a file is marked.
type Form int

// The forms. Bare files are left as they are: they have no mark, or bring it.
const (
	Bare Form = iota
	Text
	CSV
	XML
	PNG
)

// mark fills a file and marks it.
func (f Form) mark(w io.Writer, fill func(io.Writer) error) error {
	if f == PNG {
		return fill(&pngMarker{w: w})
	}
	last := &lastByte{w: w}
	if err := fill(last); err != nil {
		return err
	}
	end := ""
	switch f {
	case Text:
		end = textMark
	case CSV:
		end = csvMark
	case XML:
		if end = xmlMark; last.b != '\n' {
			end = "\n" + end
		}
	}
	if end == "" {
		return nil
	}
	_, err := io.WriteString(w, end)
	return err
}

// lastByte remembers what was written last.
type lastByte struct {
	w io.Writer
	b byte
}

func (l *lastByte) Write(p []byte) (int, error) {
	n, err := l.w.Write(p)
	if n > 0 {
		l.b = p[n-1]
	}
	return n, err
}

// pngMarker puts the mark behind the header of a PNG file.
type pngMarker struct {
	w    io.Writer
	head bytes.Buffer
	done bool
}

func (m *pngMarker) Write(p []byte) (int, error) {
	if m.done {
		return m.w.Write(p)
	}
	rest := p[min(len(p), pngHead-m.head.Len()):]
	m.head.Write(p[:len(p)-len(rest)])
	if m.head.Len() < pngHead {
		return len(p), nil
	}
	m.done = true
	for _, part := range []string{m.head.String(), pngMark, string(rest)} {
		if _, err := io.WriteString(m.w, part); err != nil {
			return 0, err
		}
	}
	return len(p), nil
}
