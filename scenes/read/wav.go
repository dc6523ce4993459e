package read

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"golang.org/x/image/riff"
)

// wavReader reads the sound of a WAV file (RIFF WAVE, IBM and Microsoft 1991) as
// one channel, the mean of those in the file. It takes integer PCM of 8 bits
// unsigned and 16, 24 and 32 bits signed, plain or in WAVE_FORMAT_EXTENSIBLE.
// Full scale is ±1.
type wavReader struct {
	rate     int   // samples per second of each channel
	channels int   // in the file
	wide     int   // bytes per sample of one channel
	claimed  int64 // samples per channel, by the data chunk's header
	in       *bufio.Reader
	block    []byte
}

// Format tags, from the registry in RFC 2361 and Microsoft's mmreg.h.
const (
	wavPCM        = 1
	wavFloat      = 3
	wavExtensible = 0xFFFE
)

// wavSubtype is bytes 2 to 15 of the identifiers by which the extensible format
// names a format tag.
var wavSubtype = []byte{0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71}

// openWAV reads up to the start of the sound.
func openWAV(r io.Reader) (*wavReader, error) {
	form, chunks, err := riff.NewReader(r)
	if err != nil {
		return nil, wavStructure("header", err)
	}
	if form != (riff.FourCC{'W', 'A', 'V', 'E'}) {
		return nil, fmt.Errorf("a RIFF file of form %q, want \"WAVE\"", form[:])
	}
	var w *wavReader
	for {
		id, size, data, err := chunks.Next()
		if errors.Is(err, io.EOF) {
			if w == nil {
				return nil, errors.New("the WAV file ends without a format chunk")
			}
			return nil, errors.New("the WAV file ends without a data chunk")
		}
		if err != nil {
			return nil, wavStructure("chunks", err)
		}
		switch id {
		case riff.FourCC{'f', 'm', 't', ' '}:
			if w, err = wavFormat(data); err != nil {
				return nil, err
			}
		case riff.FourCC{'d', 'a', 't', 'a'}:
			if w == nil {
				return nil, errors.New("the WAV file's data chunk comes before its format chunk")
			}
			w.in = bufio.NewReaderSize(data, 1<<16)
			w.claimed = int64(size) / int64(len(w.block))
			return w, nil
		}
	}
}

func wavStructure(what string, err error) error {
	return fmt.Errorf("WAV %s: %w; a file that was cut off or written to a pipe states sizes that do not fit", what, err)
}

func wavFormat(r io.Reader) (*wavReader, error) {
	b := make([]byte, 40)
	n, err := io.ReadFull(r, b)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return nil, wavStructure("format chunk", err)
	}
	if n < 16 {
		return nil, fmt.Errorf("a WAV format chunk of %d bytes, want at least 16", n)
	}
	tag, bits := binary.LittleEndian.Uint16(b), int(binary.LittleEndian.Uint16(b[14:]))
	if tag == wavExtensible {
		if n < 40 || !bytes.Equal(b[26:40], wavSubtype) {
			return nil, errors.New("an extensible WAV format of an unknown kind, want integer PCM")
		}
		tag = binary.LittleEndian.Uint16(b[24:])
	}
	switch {
	case tag == wavFloat:
		return nil, fmt.Errorf("WAV samples in %d-bit floating point: want integer PCM of 8, 16, 24 or 32 bits", bits)
	case tag != wavPCM:
		return nil, fmt.Errorf("WAV format 0x%04x, compressed: want integer PCM of 8, 16, 24 or 32 bits", tag)
	case bits != 8 && bits != 16 && bits != 24 && bits != 32:
		return nil, fmt.Errorf("WAV samples of %d bits: want 8, 16, 24 or 32", bits)
	}
	w := &wavReader{
		channels: int(binary.LittleEndian.Uint16(b[2:])),
		wide:     bits / 8,
	}
	rate := binary.LittleEndian.Uint32(b[4:])
	if rate < 1000 || rate > 1_000_000 {
		return nil, fmt.Errorf("WAV sample rate %d Hz: want 1000…1000000 Hz", rate)
	}
	w.rate = int(rate)
	if w.channels < 1 || w.channels > 64 {
		return nil, fmt.Errorf("WAV with %d channels: want 1…64", w.channels)
	}
	align := int(binary.LittleEndian.Uint16(b[12:]))
	if align != w.channels*w.wide {
		return nil, fmt.Errorf("WAV with %d bytes for %d samples of %d bits: want %d", align, w.channels, bits, w.channels*w.wide)
	}
	w.block = make([]byte, align)
	return w, nil
}

// read fills dst and returns how many samples it got; fewer only at the end of
// the sound, with io.EOF.
func (w *wavReader) read(dst []float64) (int, error) {
	for i := range dst {
		if _, err := io.ReadFull(w.in, w.block); err != nil {
			if errors.Is(err, io.ErrUnexpectedEOF) { // part of a sample
				err = io.EOF
			}
			return i, err
		}
		var sum float64
		for b := w.block; len(b) > 0; b = b[w.wide:] {
			sum += pcmSample(b, w.wide)
		}
		dst[i] = sum / float64(w.channels)
	}
	return len(dst), nil
}

func pcmSample(b []byte, wide int) float64 {
	switch wide {
	case 1:
		return (float64(b[0]) - 128) / 128
	case 2:
		return float64(int16(binary.LittleEndian.Uint16(b))) / (1 << 15)
	case 3:
		return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)>>8) / (1 << 23)
	}
	return float64(int32(binary.LittleEndian.Uint32(b))) / (1 << 31)
}
