package generate

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"lodegrid/scenes"
)

func tickerDefaults(p *Params) {
	p.Text = "HIGH WATER 12:34"
	p.Speed = 8
	p.FrameTime = 1 / p.Speed
}

// maxTicker bounds the text, in characters.
const maxTicker = 4096

// ticker runs a line of text from the right edge out over the left one, whole
// columns at a time, Speed of them a second, in the tallest font that fits the
// grid and has every character: 7 × 13 from 13 rows on, else 5 × 7. One pass
// lasts (columns + the text's width)/Speed; a longer duration begins it again.
func ticker(ctx context.Context, p Params) (scenes.Scene, error) {
	if err := positive("speed", p.Speed, "columns/s"); err != nil {
		return scenes.Scene{}, err
	}
	line, err := setLine(p.Text, p.Rows)
	if err != nil {
		return scenes.Scene{}, err
	}
	pass := p.Cols + line.cols
	duration := p.Duration
	if duration == 0 {
		duration = float64(pass) / p.Speed
	}
	top := (p.Rows - line.rows) / 2
	return p.timed(ctx, duration, p.FrameTime, func(i int, levels []float64) {
		// The column of the text's left edge; the small part keeps a whole number
		// of columns whole in spite of rounding.
		moved := math.Floor(float64(i)*p.FrameTime*p.Speed + 1e-6)
		left := p.Cols - 1 - int(math.Mod(moved, float64(pass)))
		for row := range line.rows {
			for col := max(0, left); col < min(p.Cols, left+line.cols); col++ {
				if line.at(row, col-left) {
					levels[(top+row)*p.Cols+col] = 1
				}
			}
		}
	})
}

// setLine sets text in the tallest font that fits rows and has its characters.
func setLine(text string, rows int) (bitmap, error) {
	if strings.TrimSpace(text) == "" {
		return bitmap{}, errors.New("text is empty")
	}
	if !utf8.ValidString(text) {
		return bitmap{}, fmt.Errorf("text %q is not UTF-8", text)
	}
	if n := utf8.RuneCountInString(text); n > maxTicker {
		return bitmap{}, fmt.Errorf("text of %d characters: want at most %d", n, maxTicker)
	}
	if rows >= font7x13().height {
		if line, err := font7x13().line(text); err == nil {
			return line, nil
		}
	}
	if f := font5x7(); rows >= f.height {
		return f.line(text)
	}
	return bitmap{}, fmt.Errorf("a grid of %d rows is too low for text: want at least %d", rows, font5x7().height)
}
