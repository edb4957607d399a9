package survey

import (
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// edgeM is how far from a place the data of a region surely reach, in metres: what lies nearer than this
// would be in the region. 0 outside it.
func edgeM(r *osm.Region, p orb.Point) float64 {
	if r == nil || !r.Covers(p) {
		return 0
	}
	edge := math.Inf(1)
	if len(r.Corridor.Line) > 0 {
		edge = r.Corridor.Radius()
	}
	for _, ring := range r.Outline {
		for i := 1; i < len(ring); i++ {
			if math.Abs(ring[i-1][0]) == 180 && math.Abs(ring[i][0]) == 180 {
				continue // the two parts of a region across the antimeridian meet here
			}
			m, _ := toSegment(p, ring[i-1], ring[i])
			edge = math.Min(edge, m)
		}
	}
	return edge
}

// edges gives edgeM for every sample, never too much: it is measured on every tenth and at both ends of each
// stretch in the region, and in between it is at least what the two measured neighbours leave, since the edge
// comes no nearer than one drives.
func edges(r *osm.Region, samples []geo.Sample) []float64 {
	const every = 10
	n := len(samples)
	out := make([]float64, n)
	measured := make([]bool, n)
	for i := range samples {
		ends := i == 0 || i == n-1 || samples[i].InRegion != samples[i-1].InRegion || samples[i].InRegion != samples[i+1].InRegion
		if i%every == 0 || ends {
			out[i], measured[i] = edgeM(r, orb.Point{samples[i].Lon, samples[i].Lat}), true
		}
	}
	for i := 1; i < n; i++ {
		if !measured[i] {
			out[i] = math.Max(0, out[i-1]-(samples[i].DistanceM-samples[i-1].DistanceM))
		}
	}
	for i := n - 2; i >= 0; i-- {
		if !measured[i] {
			out[i] = math.Max(out[i], out[i+1]-(samples[i+1].DistanceM-samples[i].DistanceM))
		}
	}
	return out
}
