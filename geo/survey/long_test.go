package survey

import (
	"fmt"
	"math"
	"runtime"
	"testing"
	"time"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// longRoute winds 5000 km from south to north with a bend every few kilometres.
func longRoute(lengthM float64, points int) geo.Route {
	line := make(orb.LineString, 0, points)
	p := orb.Point{20, -30}
	step := lengthM / float64(points-1)
	for i := range points {
		line = append(line, p)
		p = geo.Destination(p, 30*math.Sin(float64(i)*step/3000)+20*math.Sin(float64(i)*step/70000), step)
	}
	return geo.Route{Line: line}
}

// TestLongRoute surveys 5000 km given by a million points, over land with a track under the route and a
// maintained road some 8 km beside it.
func TestLongRoute(t *testing.T) {
	if testing.Short() {
		t.Skip("takes several seconds")
	}
	route := longRoute(5e6, 1_000_000)
	region := longRegion(t, route)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	start := time.Now()
	s := inputs{route, region, nil, tables(t)}.survey(t, Options{})
	took := time.Since(start)
	runtime.ReadMemStats(&after)
	on := 0
	for i := range s.Samples {
		if s.Samples[i].Way >= 0 {
			on++
		}
	}
	t.Logf("%d samples, %d legs in %.1f s, %d MB allocated in all", len(s.Samples), len(s.Legs), took.Seconds(), (after.TotalAlloc-before.TotalAlloc)>>20)
	if share := float64(on) / float64(len(s.Samples)); share < 0.999 {
		t.Errorf("%.2f %% of the samples are on the track, want all", 100*share)
	}
	if n := len(s.Legs); n < 40 || n > 400 {
		t.Errorf("5000 km give %d legs", n)
	}
}

// longRegion has a track under every tenth point of a route in pieces of a few kilometres, and a road beside it.
func longRegion(t testing.TB, r geo.Route) *osm.Region {
	var ways []osm.Way
	id := int64(1)
	for i := 0; i+10 < len(r.Line); i += 500 {
		var w, road osm.Way
		for k := i; k <= i+500 && k < len(r.Line); k += 10 {
			w.Line = append(w.Line, r.Line[k])
			w.Nodes = append(w.Nodes, int64(k+1))
			road.Line = append(road.Line, orb.Point{r.Line[k][0] + 0.08, r.Line[k][1]})
			road.Nodes = append(road.Nodes, int64(k+1)+1<<40)
		}
		w.ID, road.ID = id, id+1
		id += 2
		w.Tags = osm.Tags{{Key: "highway", Value: "track"}}
		road.Tags = osm.Tags{{Key: "highway", Value: "tertiary"}}
		ways = append(ways, w, road)
	}
	return regionOf(t, ways)
}

// regionOf makes a region of ways whose lines are given, by way of a file.
func regionOf(t testing.TB, ways []osm.Way) *osm.Region {
	b := []byte(`<osm version="0.6">`)
	seen := map[int64]bool{}
	for _, w := range ways {
		for i, n := range w.Nodes {
			if !seen[n] {
				seen[n] = true
				b = fmt.Appendf(b, `<node id="%d" version="1" lat="%.8f" lon="%.8f"/>`, n, w.Line[i][1], w.Line[i][0])
			}
		}
	}
	for _, w := range ways {
		b = fmt.Appendf(b, `<way id="%d" version="1">`, w.ID)
		for _, n := range w.Nodes {
			b = fmt.Appendf(b, `<nd ref="%d"/>`, n)
		}
		for _, tag := range w.Tags {
			b = fmt.Appendf(b, `<tag k="%s" v="%s"/>`, tag.Key, tag.Value)
		}
		b = append(b, "</way>"...)
	}
	return readOSM(t, append(b, "</osm>"...), osm.Corridor{})
}
