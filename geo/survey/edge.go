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
			m, _ := toSegment(p, ring[i-1], ring[i])
			edge = math.Min(edge, m)
		}
	}
	return edge
}

// edges gives edgeM for every sample, measured on every so many and interpolated on the safe side: the
// edge cannot come nearer faster than one drives.
func edges(r *osm.Region, samples []geo.Sample) []float64 {
	const every = 40
	out := make([]float64, len(samples))
	for i := range samples {
		if i%every == 0 || samples[i].InRegion != samples[i-1].InRegion {
			out[i] = edgeM(r, orb.Point{samples[i].Lon, samples[i].Lat})
			continue
		}
		out[i] = math.Max(0, out[i-1]-(samples[i].DistanceM-samples[i-1].DistanceM))
		if !samples[i].InRegion {
			out[i] = 0
		}
	}
	return out
}
