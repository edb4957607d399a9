package osm

import (
	"math"

	"github.com/paulmach/orb"
)

// An area may lie all round the corridor without a node in it: a sand sea, a great forest. Whether it does
// shows only when all its nodes are known, and they lie outside the corridor, where nothing bounds their
// number. So only kinds of ground that reach over tens of kilometres are looked at, and of those the ones with
// the most nodes, up to maxFarRefs nodes together. An area wider than the corridor that is mapped with fewer
// nodes than thousands of others in the file is missed; an extract of the land round the route is the remedy.

// maxFarRefs bounds the nodes of all areas looked at in this way: some 50 bytes each for the while.
const maxFarRefs = 2_000_000

// leastFar is the number of nodes that an area outside the corridor must have to be thought of at all: any in
// a file of up to 32 MB, more in larger ones, where the largest use up the bound.
func leastFar(fileSize int64) int { return max(4, int(fileSize>>23)) }

// isWide reports whether areas of a kind reach over tens of kilometres somewhere on Earth.
func isWide(k AreaKind) bool {
	switch k {
	case Wood, Scrub, Heath, Grassland, Scree, BareRock, Sand, Desert, SaltFlat, Mud, Wetland, Water, Glacier:
		return true
	}
	return false
}

// around reports whether polygons meet the corridor: they contain a place of its line, or an edge passes
// through it.
func around(mp orb.MultiPolygon, m *mask) bool {
	in := false
	for _, p := range mp {
		for _, r := range p {
			if inside, _ := pointInRing(m.somewhere, r); inside {
				in = !in
			}
		}
	}
	if in {
		return true
	}
	for _, p := range mp {
		for _, r := range p {
			for i := 1; i < len(r); i++ {
				if m.crossed(r[i-1], r[i]) {
					return true
				}
			}
		}
	}
	return false
}

// crossed reports whether a straight edge passes through the corridor, looking once a cell.
func (m *mask) crossed(a, b orb.Point) bool {
	n := math.Ceil(math.Max(math.Abs(b[0]-a[0])*m.perLon, math.Abs(b[1]-a[1])*m.perLat))
	if !(n < 1e6) {
		return false
	}
	for k := 1.0; k < n; k++ {
		if m.has(a[0]+(b[0]-a[0])*k/n, a[1]+(b[1]-a[1])*k/n) {
			return true
		}
	}
	return false
}
