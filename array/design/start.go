package design

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// What fluid.start says besides pixels: drops where the first picture has them, or a pool.
const (
	startPicture = "picture"
	StartPool    = "pool"
)

// StartAt is the pixels that drops stand on when a scene begins: none for a pool, nil for
// those of the scene's first picture. The error says which pixel there is not.
func (d Design) StartAt() ([]int, error) {
	if d.Fluid.Start == startPicture {
		return nil, nil
	}
	at := []int{}
	if d.Fluid.Start == StartPool {
		return at, nil
	}
	seen := map[int]bool{}
	for _, text := range strings.Fields(d.Fluid.Start) {
		r, c, _ := strings.Cut(text, ",")
		row, err := strconv.Atoi(r)
		col, err2 := strconv.Atoi(c)
		if err != nil || err2 != nil || row < 1 || row > d.Grid.Rows || col < 1 || col > d.Grid.Cols {
			return nil, fmt.Errorf("%.40q is no pixel of %d rows and %d columns", text, d.Grid.Rows, d.Grid.Cols)
		}
		i := d.Pixel(row-1, col-1)
		if seen[i] {
			return nil, fmt.Errorf("%s has two drops", text)
		}
		seen[i], at = true, append(at, i)
	}
	if len(at) == 0 {
		return nil, fmt.Errorf("nothing is said")
	}
	return at, nil
}

// drop is the volume of the reference drop, m³.
func (f Fluid) drop() float64 { return math.Pi / 4 * f.DropDiameter * f.DropDiameter * f.TankGap }
