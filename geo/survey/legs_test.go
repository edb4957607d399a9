package survey

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/network"
	"lastroad/geo/osm"
)

// made is a route of at least lengthM over the network of a region, by quickest paths between random places
// on tracks, so that it is a mountain drive and not a motorway trip.
func made(t testing.TB, in inputs, lengthM float64, seed uint64) geo.Route {
	r := rand.New(rand.NewPCG(seed, 11))
	w := &work{region: in.region, tables: in.tables, opts: Options{Pace: 1}, kept: make([]bool, len(in.region.Ways))}
	g := network.Build(in.region.Ways, w.use())
	var tracks []int32
	for i := range in.region.Ways {
		if in.region.Ways[i].Highway() == "track" {
			tracks = append(tracks, int32(i))
		}
	}
	place := func() network.Position { return network.Position{Way: tracks[r.IntN(len(tracks))]} }
	at := place()
	var line orb.LineString
	total := 0.0
	for try := 0; total < lengthM; try++ {
		if try > 300 {
			t.Fatal("no route of that length is found")
		}
		to := place()
		p, ok := g.Path(at, to, false)
		if !ok || p.Metres < 3000 || p.Metres > 40000 {
			if try%20 == 19 {
				at = place()
				line, total = nil, 0
			}
			continue
		}
		for _, q := range p.Line {
			if len(line) == 0 || line[len(line)-1] != q {
				line = append(line, q)
			}
		}
		total += p.Metres
		at = to
	}
	return geo.Route{Name: "made", Line: line}
}

// TestLegsOfLongRoutes: 200 km give 10 to 40 legs, none of them silly.
func TestLegsOfLongRoutes(t *testing.T) {
	in := andorra(t)
	in.region = readRegion(t, shared(t, "andorra-2025-01-19.osm.pbf"), osm.Corridor{})
	for seed := uint64(1); seed <= 4; seed++ {
		in.route = made(t, in, 200e3, seed)
		s := in.survey(t, Options{})
		var lengths []float64
		for i := range s.Legs {
			lengths = append(lengths, (s.ToM(i)-s.FromM(i))/1000)
		}
		slices.Sort(lengths)
		t.Logf("seed %d: %.0f km, %d legs, shortest %.2f, median %.2f, longest %.2f km", seed, s.LengthM()/1000, len(s.Legs), lengths[0], lengths[len(lengths)/2], lengths[len(lengths)-1])
		if n := len(s.Legs); n < 10 || n > 40 {
			t.Errorf("seed %d: %.0f km give %d legs, want 10 to 40", seed, s.LengthM()/1000, n)
		}
		if l := lengths[len(lengths)-1]; l > 45 {
			t.Errorf("seed %d: the longest leg has %.1f km, want at most 45", seed, l)
		}
	}
}

// TestLegsHoldStill shifts the route by a metre: along itself, which moves every sample, and sideways. The legs
// must begin where they did, to two steps. No cutting by least cost can promise that for every route (two
// cuts may be equally good), so a few cuts in a hundred may go elsewhere on the made routes; on the Andorra
// line none may.
func TestLegsHoldStill(t *testing.T) {
	in := andorra(t)
	routes := []geo.Route{in.route}
	if !testing.Short() {
		in.region = readRegion(t, shared(t, "andorra-2025-01-19.osm.pbf"), osm.Corridor{})
		for seed := uint64(1); seed <= 8; seed++ {
			routes = append(routes, made(t, in, 60e3, seed))
		}
	}
	all, held := 0, 0
	for k, r := range routes {
		in.route = r
		a := in.survey(t, Options{})
		along, aside := r, r
		along.Line, aside.Line = slices.Clone(r.Line), slices.Clone(r.Line)
		along.Line[0] = geo.Destination(r.Line[0], geo.Bearing(r.Line[0], r.Line[1]), 1)
		for i, p := range r.Line {
			aside.Line[i] = geo.Destination(p, 70, 1)
		}
		for _, moved := range []geo.Route{along, aside} {
			in.route = moved
			b := in.survey(t, Options{})
			for i := 1; i < len(a.Legs); i++ {
				best := math.Inf(1)
				for j := 1; j < len(b.Legs); j++ {
					best = min(best, math.Abs(a.FromM(i)-b.FromM(j)))
				}
				all++
				if best <= 2*a.StepM {
					held++
				} else if k == 0 {
					t.Errorf("the leg at km %.2f (%s) begins %.0f m elsewhere on a route shifted by a metre", a.FromM(i)/1000, a.Legs[i].Why, best)
				}
			}
		}
	}
	t.Logf("%d of %d cuts hold still", held, all)
	if float64(held) < 0.95*float64(all) {
		t.Errorf("%d of %d cuts hold still, want 95 %%", held, all)
	}
}
