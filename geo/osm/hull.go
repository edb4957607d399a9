package osm

import (
	"cmp"
	"slices"

	"github.com/paulmach/orb"
)

// convexHull is the convex outline of points in the plane of longitude and latitude, closed and
// anticlockwise, by Andrew's monotone chain; nil when the points do not span an area.
func convexHull(pts []orb.Point) orb.Ring {
	slices.SortFunc(pts, func(a, b orb.Point) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	})
	pts = slices.Compact(pts)
	if len(pts) < 3 {
		return nil
	}
	var hull orb.Ring
	half := func(p orb.Point, floor int) {
		for len(hull) >= floor+2 {
			a, b := hull[len(hull)-2], hull[len(hull)-1]
			if (b[0]-a[0])*(p[1]-a[1])-(b[1]-a[1])*(p[0]-a[0]) > 0 {
				break
			}
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, p)
	}
	for _, p := range pts {
		half(p, 0)
	}
	floor := len(hull) - 1
	for i := len(pts) - 2; i >= 0; i-- {
		half(pts[i], floor)
	}
	if len(hull) < 4 {
		return nil
	}
	return hull
}
