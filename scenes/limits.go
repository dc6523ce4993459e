package scenes

import (
	"context"
	"fmt"
	"io"
)

// Limits bound what a reader accepts, so that a hostile or mistaken file costs
// an error and not the machine's memory.
type Limits struct {
	Bytes         int64   // of one file
	PicturePixels int64   // of one decoded picture, from its header
	WorkPixels    int64   // decoded and averaged over all frames of one animation, all scans of one picture
	Memory        int64   // bytes that decoding takes besides the file's scene
	Frames        int     // of one scene
	Levels        int     // frames × rows × columns of one scene
	Duration      float64 // s, of one scene
}

// DefaultLimits returns limits a desktop machine can bear: files of 512 MiB,
// pictures of 64 megapixels, 400 megapixels of animation, 260 MB to decode one,
// a million frames, 32 Mi levels (256 MiB), a week.
func DefaultLimits() Limits {
	return Limits{
		Bytes:         512 << 20,
		PicturePixels: 64_000_000,
		WorkPixels:    400_000_000,
		Memory:        260_000_000,
		Frames:        1_000_000,
		Levels:        32 << 20,
		Duration:      7 * 24 * 3600,
	}
}

// CheckFrames checks n frames of size levels each.
func (l Limits) CheckFrames(n, size int) error {
	if n > l.Frames {
		return fmt.Errorf("%d frames, the limit is %d", n, l.Frames)
	}
	if n > l.Levels/size {
		return fmt.Errorf("%d frames of %d pixels, the limit is %d levels in all: %d such frames", n, size, l.Levels, l.Levels/size)
	}
	return nil
}

// CheckPicture checks a picture's size as its header claims it.
func (l Limits) CheckPicture(width, height int) error {
	if width < 1 || height < 1 {
		return fmt.Errorf("picture of %d × %d pixels: empty", width, height)
	}
	if int64(width) > l.PicturePixels/int64(height) {
		return fmt.Errorf("picture of %d × %d pixels is over the limit of %g megapixels; scale it down first",
			width, height, float64(l.PicturePixels)/1e6)
	}
	return nil
}

// CheckMemory checks the bytes it takes to decode what is named.
func (l Limits) CheckMemory(what string, n int64) error {
	if n > l.Memory {
		return fmt.Errorf("%s takes %d MB to decode, the limit is %d MB; scale it down first", what, n/1e6, l.Memory/1e6)
	}
	return nil
}

// CheckWork checks the pixels that an animation, or a picture in many scans, makes the
// reader look at.
func (l Limits) CheckWork(pixels int64) error {
	if pixels > l.WorkPixels {
		return fmt.Errorf("up to here %d megapixels are drawn and averaged, the limit is %d in all; scale it down first", pixels/1e6, l.WorkPixels/1e6)
	}
	return nil
}

// BoundedReader is io.LimitedReader with an error in place of a silent end. It hands
// out small pieces and stops when the context is done, so that whoever decodes what it
// reads stops too.
type BoundedReader struct {
	ctx        context.Context
	r          io.Reader
	left, size int64
	Failed     error // why it stopped early, for callers of a decoder that drops it
}

// Reader bounds a file.
func (l Limits) Reader(ctx context.Context, r io.Reader) *BoundedReader {
	return &BoundedReader{ctx: ctx, r: r, left: l.Bytes, size: l.Bytes}
}

func (r *BoundedReader) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		r.Failed = err
		return 0, err
	}
	if r.left <= 0 {
		var one [1]byte
		n, err := r.r.Read(one[:])
		if n > 0 {
			r.Failed = fmt.Errorf("file is larger than the limit of %d bytes", r.size)
			return 0, r.Failed
		}
		return 0, err
	}
	p = p[:min(int64(len(p)), r.left, 64<<10)]
	n, err := r.r.Read(p)
	r.left -= int64(n)
	return n, err
}

// Count returns how many bytes have been read so far.
func (r *BoundedReader) Count() int64 { return r.size - r.left }
