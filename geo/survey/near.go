package survey

import (
	"context"
	"math"
	"runtime"
	"sync"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/index"
)

// Nearest things. One plane cannot hold a route of a thousand kilometres, so the route is measured in
// stretches of at most chunkM, each with its own plane and its own tree of what lies within reach. The
// plane only proposes: everything that could be nearest within its error is measured again in degrees of
// the latitude between place and thing, and beyond planeM along the geodesic.

const (
	chunkM = 25_000.0 // metres of route in one plane
	// planeM is how far a distance may be measured by the degrees of the middle latitude: its error is
	// below 0.01 mm at 1 km and 10 mm at 10 km against the geodesic (TestNearestAgainstGeodesics).
	planeM = 10_000.0
	// mostExact is how many things that may be nearest are measured exactly; of more only those which the plane holds for
	// nearer than all before, so that the answer is off by the error of the plane at most. Judgement: more than that lie
	// equally far only in files made to keep a reader busy.
	mostExact = 1000
	// freeReachM bounds the search where the data were not read for a corridor, metres.
	freeReachM = 100_000.0
)

// chunk is a stretch of samples with its plane.
type chunk struct {
	from, to int // samples, to excluded
	plane    geo.Plane
	box      [4]float64 // of its samples on the plane: min x, min y, max x, max y
	slack    float64    // relative error of distances on the plane within reach
}

func chunksOf(samples []geo.Sample, reachM float64) []chunk {
	var out []chunk
	for from := 0; from < len(samples); {
		to := from + 1
		for to < len(samples) && samples[to].DistanceM-samples[from].DistanceM < chunkM {
			to++
		}
		mid := samples[(from+to)/2]
		c := chunk{from: from, to: to, plane: geo.NewPlane(orb.Point{mid.Lon, mid.Lat})}
		c.box = [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
		for i := from; i < to; i++ {
			x, y := c.plane.ToXY(orb.Point{samples[i].Lon, samples[i].Lat})
			c.box[0], c.box[1] = math.Min(c.box[0], x), math.Min(c.box[1], y)
			c.box[2], c.box[3] = math.Max(c.box[2], x), math.Max(c.box[3], y)
		}
		// The plane is enlarged by r^2/(4 M N) at most, r the distance from its origin; see geo.Plane.
		const fourMN = 4 * 6.335e6 * 6.378e6 // the least radii of the ellipsoid
		r := chunkM + reachM
		c.slack = 2 * r * r / fourMN
		out = append(out, c)
		from = to
	}
	return out
}

// things are segments (or points, A = B) to look for, each belonging to something with a number.
type things struct {
	a, b []orb.Point
	of   []int32
	// bend is how far a segment straight in degrees may bow from one that is straight on a plane, metres.
	bend float64
}

func (t *things) add(a, b orb.Point, of int32) {
	t.a, t.b, t.of = append(t.a, a), append(t.b, b), append(t.of, of)
	if a != b {
		const least = 6.335e6
		cos := math.Cos(math.Min(math.Abs(a[1]), geo.MaxLat) * math.Pi / 180)
		x, y := geo.LonDiff(a[0], b[0])*cos, b[1]-a[1]
		l2 := (x*x + y*y) * 111.7e3 * 111.7e3
		t.bend = math.Max(t.bend, l2/(8*least)*(0.1+1/cos))
	}
}

// tree lays what lies within reach of a chunk into a tree; ids are the numbers of its segments in t.
func (c *chunk) tree(t *things, reachM float64) (*index.Tree, []int32) {
	var segs []index.Seg
	var ids []int32
	reach := reachM * (1 + c.slack)
	// A box in degrees, a little too large, tells most of them apart without laying them on the plane.
	mid := c.plane.Origin()
	lat := (math.Max(-c.box[1], c.box[3]) + reach) / 110.5e3
	lon := (math.Max(-c.box[0], c.box[2]) + reach) / (110.5e3 * math.Cos(math.Min(89, math.Abs(mid[1])+lat)*math.Pi/180))
	far := func(p orb.Point) (north, east int) {
		switch d := p[1] - mid[1]; {
		case d > lat:
			north = 1
		case d < -lat:
			north = -1
		}
		switch d := geo.LonDiff(mid[0], p[0]); {
		case d > lon:
			east = 1
		case d < -lon:
			east = -1
		}
		return
	}
	for i := range t.a {
		n1, e1 := far(t.a[i])
		if n1 != 0 || e1 != 0 {
			if n2, e2 := far(t.b[i]); n1*n2 > 0 || e1*e2 > 0 { // both ends beyond the same side
				continue
			}
		}
		ax, ay := c.plane.ToXY(t.a[i])
		bx, by := ax, ay
		if t.a[i] != t.b[i] {
			bx, by = c.plane.ToXY(t.b[i])
		}
		if math.Max(ax, bx) < c.box[0]-reach || math.Min(ax, bx) > c.box[2]+reach ||
			math.Max(ay, by) < c.box[1]-reach || math.Min(ay, by) > c.box[3]+reach {
			continue
		}
		segs = append(segs, index.Seg{AX: ax, AY: ay, BX: bx, BY: by})
		ids = append(ids, int32(i))
	}
	return index.Build(segs), ids
}

// nearest finds for every sample the nearest of the things within reach and tells of it; samples without
// any are not told of. found is called from several goroutines, once for a sample.
func nearest(ctx context.Context, samples []geo.Sample, chunks []chunk, t *things, reachM float64, found func(i int, thing int32, m float64, at orb.Point)) error {
	if len(t.a) == 0 {
		return ctx.Err()
	}
	return each(ctx, len(chunks), func(k int) error {
		c := &chunks[k]
		tree, ids := c.tree(t, reachM)
		if tree.Len() == 0 {
			return nil
		}
		along := tree.Follow()
		for i := c.from; i < c.to; i++ {
			if i&1023 == 0 && ctx.Err() != nil {
				return ctx.Err()
			}
			p := orb.Point{samples[i].Lon, samples[i].Lat}
			x, y := c.plane.ToXY(p)
			_, d, _, _ := along.Nearest(x, y)
			best, bestAt, bestThing := math.Inf(1), orb.Point{}, int32(-1)
			looked, least := 0, math.Inf(1)
			// The plane's nearest is at most d(1+slack)+bend away, so the true nearest shows within what follows.
			tree.Within(x, y, (d*(1+c.slack)+t.bend)*(1+c.slack)+t.bend+0.001, func(seg int, d, _, _ float64) bool {
				if looked++; looked > mostExact && d >= least {
					return true
				}
				least = math.Min(least, d)
				id := ids[seg]
				if m, at := toSegment(p, t.a[id], t.b[id]); m < best || m == best && id < bestThing {
					best, bestAt, bestThing = m, at, id
				}
				return true
			})
			if best > planeM {
				best = geo.Distance(p, bestAt)
			}
			if best <= reachM {
				found(i, t.of[bestThing], best, bestAt)
			}
		}
		return nil
	})
}

// toSegment measures from a place to a segment that is straight in longitude and latitude: once by the
// degrees of the latitude about between them to find where the nearest point lies, once more by those of the
// latitude between place and that point.
func toSegment(p, a, b orb.Point) (m float64, at orb.Point) {
	if a == b {
		m, _ = byDegrees(p, a, b, (p[1]+a[1])/2)
		return m, a
	}
	_, t := byDegrees(p, a, b, p[1]+((a[1]+b[1])/2-p[1])/2)
	m, t = byDegrees(p, a, b, p[1]+(a[1]+t*(b[1]-a[1])-p[1])/2)
	return m, orb.Point{geo.WrapLon(a[0] + t*geo.LonDiff(a[0], b[0])), a[1] + t*(b[1]-a[1])}
}

// byDegrees gives the distance to a segment with the length of a degree at a latitude, and the share of the
// segment at which the nearest point lies.
func byDegrees(p, a, b orb.Point, lat float64) (m, t float64) {
	mer, nor := geo.Radii(lat)
	my, mx := mer*math.Pi/180, nor*math.Pi/180*math.Cos(lat*math.Pi/180)
	ax, ay := geo.LonDiff(p[0], a[0])*mx, (a[1]-p[1])*my
	bx, by := geo.LonDiff(p[0], b[0])*mx, (b[1]-p[1])*my
	dx, dy := bx-ax, by-ay
	if l2 := dx*dx + dy*dy; l2 > 0 {
		t = math.Min(1, math.Max(0, -(ax*dx+ay*dy)/l2))
	}
	return math.Hypot(ax+t*dx, ay+t*dy), t
}

// each runs f for 0..n-1 on all processors; the first error by number is returned.
func each(ctx context.Context, n int, f func(k int) error) error {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers <= 1 {
		for k := 0; k < n; k++ {
			if err := f(k); err != nil {
				return err
			}
		}
		return ctx.Err()
	}
	errs := make([]error, n)
	var next int
	var mu sync.Mutex
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for {
				mu.Lock()
				k := next
				next++
				mu.Unlock()
				if k >= n || ctx.Err() != nil {
					return
				}
				errs[k] = f(k)
			}
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return ctx.Err()
}
