// Package indextest makes the places at which searches for the nearest road are measured.
package indextest

import (
	"math"
	"math/rand/v2"
)

// Places gives 16 384 places along roads in their order, 3 m beside them, and as many on a wandering drive in steps of
// 25 m that keeps 2 to 30 km from every road. seg gives the ends of a road segment, ax, ay, bx, by; from the 20 000th on as
// many of them are wanted. nearest is the distance to the nearest of all. All are metres on a plane.
func Places(seg func(i int) [4]float64, nearest func(x, y float64) float64) (near, far [][2]float64) {
	r := rand.New(rand.NewPCG(4, 4))
	near, far = make([][2]float64, 1<<14), make([][2]float64, 1<<14)
	x, y, heading := -60000.0, -20000.0, 1.0
	for i := range near {
		s := seg(20000 + i)
		f, dx, dy := r.Float64(), s[2]-s[0], s[3]-s[1]
		l := math.Hypot(dx, dy) + 1e-9
		near[i] = [2]float64{s[0] + f*dx - 3*dy/l, s[1] + f*dy + 3*dx/l}
		for {
			heading += r.NormFloat64() * 0.05
			x2, y2 := x+25*math.Cos(heading), y+25*math.Sin(heading)
			if d := nearest(x2, y2); d > 2000 && d < 30000 {
				x, y = x2, y2
				break
			}
			heading += math.Pi / 3
		}
		far[i] = [2]float64{x, y}
	}
	return near, far
}
