package walk

import "math"

// The sixteen directions of a step: the eight neighbours counter-clockwise from east, then the
// knight's moves counter-clockwise from east-north-east. The direction back is d ^ 4.
const (
	eight   = 8
	sixteen = 16
	none    = 31 // no direction: on to a way, or never reached
)

var (
	stepCol = [sixteen]int{1, 1, 0, -1, -1, -1, 0, 1, 2, 1, -1, -2, -2, -1, 1, 2}
	stepRow = [sixteen]int{0, -1, -1, -1, 0, 1, 1, 1, -1, -2, -2, -1, 1, 2, 2, 1}
)

// lengths are the lengths of the steps from a row in metres.
type lengths [sixteen]float32

func (g *Grid) lengthsOf(row int) (l lengths) {
	for d := range l {
		to := min(max(row+stepRow[d], 0), g.Rows-1)
		east := (g.eastM[row] + g.eastM[to]) / 2 * float64(stepCol[d])
		l[d] = float32(math.Hypot(east, g.northM*float64(stepRow[d])))
	}
	return l
}
