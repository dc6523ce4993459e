package read

import (
	"bytes"
	"fmt"
	"io"

	"lodegrid/scenes"
)

// jpegCost is what decoding a JPEG picture takes, known from the start of its file up to
// the frame header (ITU-T T.81, B.2.2).
type jpegCost struct {
	memory int64 // bytes
	scan   int64 // pixels' worth of work to go over the picture once
	header int64 // bytes up to the end of the frame header
}

// jpegCostOf works out what the standard decoder takes: a byte a sample, of whole blocks;
// four more for the coefficients of a progressive picture; and four a pixel where the
// colours are turned into others as a whole.
func jpegCostOf(head []byte) jpegCost {
	adobe := byte(1)
	for at := 2; at+4 <= len(head); {
		mark := head[at+1]
		if head[at] != 0xFF || mark == 0xFF { // between marks, or a filling byte
			at++
			continue
		}
		if mark == 0 || mark >= 0xD0 && mark <= 0xD9 { // no mark, or one without a length
			at += 2
			continue
		}
		size := int(head[at+2])<<8 | int(head[at+3])
		b := head[at+4 : min(len(head), max(at+4, at+2+size))]
		at += 2 + size
		switch {
		case mark == 0xEE && len(b) >= 12 && bytes.HasPrefix(b, []byte("Adobe")):
			adobe = b[11]
		case mark >= 0xC0 && mark <= 0xC2 && len(b) >= 6 && len(b) >= 6+3*int(b[5]):
			high, wide, parts := int64(b[1])<<8|int64(b[2]), int64(b[3])<<8|int64(b[4]), b[6:][:3*int(b[5])]
			var h, v, samples int64 = 1, 1, 0
			for i := 0; i < len(parts); i += 3 {
				h, v = max(h, int64(parts[i+1]>>4)), max(v, int64(parts[i+1]&15))
				samples += int64(parts[i+1]>>4) * int64(parts[i+1]&15)
			}
			if len(parts) == 3 {
				h, v, samples = 1, 1, 1
			}
			c := jpegCost{memory: 64 * samples * ((wide + 8*h - 1) / (8 * h)) * ((high + 8*v - 1) / (8 * v)), scan: 2 * wide * high, header: int64(at)}
			if mark == 0xC2 { // a scan of it has a part of the coefficients
				c.memory, c.scan = 5*c.memory, wide*high
			}
			if len(parts) == 12 || len(parts) == 9 && (adobe == 0 || parts[0] == 'R') {
				c.memory += 4 * wide * high
			}
			return c
		}
	}
	return jpegCost{}
}

// scanCounter passes a JPEG file on and stops where it has more scans than the work
// allows: a file can go over the whole picture again in a dozen bytes.
type scanCounter struct {
	r      io.Reader
	cost   jpegCost
	limits scenes.Limits
	read   int64
	scans  int64
	marked bool // the byte before was 0xFF
}

func (c *scanCounter) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	for _, b := range p[:n] {
		if c.marked && b == 0xDA && c.read > c.cost.header { // the start of a scan; in the data of one, 0 follows 0xFF
			c.scans++
		}
		c.marked = b == 0xFF
		c.read++
	}
	if err := c.limits.CheckWork(c.scans * c.cost.scan); err != nil {
		return 0, fmt.Errorf("%d scans of the picture: %w", c.scans, err)
	}
	return n, err
}
