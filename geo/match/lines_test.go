package match

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/osm"

	"lastroad/geo"
)

// net is the motor-legal part of a land, node by node, for making lines.
type net struct {
	at   []orb.Point
	arcs [][]step
	good []int32 // nodes on tracks and minor roads, to start from
}

type step struct {
	to  int32
	way int32
	m   float64
}

func motorLegal(t osm.Tags) bool {
	switch t.Find("highway") {
	case "path", "footway", "steps", "cycleway", "bridleway", "pedestrian", "corridor", "platform", "proposed", "construction", "via_ferrata", "raceway", "elevator":
		return false
	}
	for _, k := range []string{"motorcar", "motor_vehicle", "vehicle", "access"} {
		switch t.Find(k) {
		case "no", "private", "agricultural", "forestry":
			return false
		case "":
		default:
			return true
		}
	}
	return true
}

func newNet(l *land) *net {
	n := &net{}
	num := map[int64]int32{}
	for w := range l.ways {
		if !motorLegal(l.tags[w]) {
			continue
		}
		way := &l.ways[w]
		minor := slices.Contains([]string{"track", "unclassified", "service", "residential"}, l.tags[w].Find("highway"))
		for i, id := range way.Nodes {
			v, ok := num[id]
			if !ok {
				v = int32(len(n.at))
				num[id] = v
				n.at = append(n.at, way.Line[i])
				n.arcs = append(n.arcs, nil)
				if minor {
					n.good = append(n.good, v)
				}
			}
			if i == 0 {
				continue
			}
			u := num[way.Nodes[i-1]]
			m := geo.Distance(n.at[u], n.at[v])
			if m == 0 {
				continue
			}
			if way.OneWay >= 0 {
				n.arcs[u] = append(n.arcs[u], step{v, int32(w), m})
			}
			if way.OneWay <= 0 {
				n.arcs[v] = append(n.arcs[v], step{u, int32(w), m})
			}
		}
	}
	return n
}

// path is a shortest path under randomly stretched lengths, so that it is not always the obvious one.
func (n *net) path(from, to int32, r *rand.Rand) []step {
	stretch := r.Uint64()
	weight := func(s step) float64 {
		h := (uint64(s.way)*0x9E3779B97F4A7C15 ^ stretch) * 0xBF58476D1CE4E5B9
		return s.m * (1 + 2*float64(h>>40)/(1<<24))
	}
	s := &search{}
	s.dist, s.metre = make([]float64, len(n.at)), make([]float64, len(n.at))
	s.stamp, s.via = make([]int32, len(n.at)), make([]int32, len(n.at))
	s.now = 1
	type link struct {
		u int32
		s step
	}
	via := make([]link, len(n.at))
	s.offer(from, 0, 0, math.Inf(1), -1)
	for len(s.heap) > 0 {
		q := s.pop()
		if q.d > s.dist[q.v] {
			continue
		}
		if q.v == to {
			break
		}
		for _, a := range n.arcs[q.v] {
			d := q.d + weight(a)
			if s.stamp[a.to] != 1 || d < s.dist[a.to] {
				via[a.to] = link{q.v, a}
			}
			s.offer(a.to, d, 0, math.Inf(1), -1)
		}
	}
	if s.stamp[to] != 1 {
		return nil
	}
	var steps []step
	for v := to; v != from; v = via[v].u {
		steps = append(steps, via[v].s)
	}
	slices.Reverse(steps)
	return steps
}

// made builds a line of at least the given length from paths between random places not too far from one
// another; now and then it turns back on itself.
func (n *net) made(lengthM float64, r *rand.Rand) truth {
	for {
		at := n.good[r.IntN(len(n.good))]
		tr := truth{line: orb.LineString{n.at[at]}}
		m := 0.0
		for try := 0; m < lengthM && try < 40; try++ {
			to := n.good[r.IntN(len(n.good))]
			if d := geo.Distance(n.at[at], n.at[to]); d < 500 || d > 8000 {
				continue
			}
			p := n.path(at, to, r)
			if len(p) > 0 && r.IntN(4) == 0 { // out and back
				back := n.path(to, at, r)
				p = append(p, back...)
			}
			for _, s := range p {
				tr.line, tr.way = append(tr.line, n.at[s.to]), append(tr.way, s.way)
				m += s.m
				at = s.to
			}
		}
		if m >= lengthM {
			return tr
		}
	}
}

// inTown is a net of which lines begin and end on residential streets and service roads only.
func (n *net) inTown(l *land) *net {
	town := *n
	town.good = nil
	seen := map[int32]bool{}
	for u, arcs := range n.arcs {
		for _, a := range arcs {
			h := l.tags[a.way].Find("highway")
			if (h == "residential" || h == "service" || h == "living_street") && !seen[int32(u)] {
				seen[int32(u)] = true
				town.good = append(town.good, int32(u))
			}
		}
	}
	return &town
}

// around builds a line from a place over two others back to it, or over one and back the same way.
func (n *net) around(lengthM float64, r *rand.Rand, back bool) truth {
	for {
		a := n.good[r.IntN(len(n.good))]
		stops := []int32{a, n.good[r.IntN(len(n.good))], n.good[r.IntN(len(n.good))], a}
		if back {
			stops = []int32{a, stops[1], a}
		}
		tr := truth{line: orb.LineString{n.at[a]}}
		m := 0.0
		for i := 1; i < len(stops); i++ {
			if stops[i-1] == stops[i] || geo.Distance(n.at[stops[i-1]], n.at[stops[i]]) > lengthM {
				break
			}
			p := n.path(stops[i-1], stops[i], r)
			if len(p) == 0 {
				break
			}
			for _, s := range p {
				tr.line, tr.way = append(tr.line, n.at[s.to]), append(tr.way, s.way)
				m += s.m
			}
		}
		if m >= lengthM && len(tr.way) > 0 && tr.line[len(tr.line)-1] == n.at[a] {
			return tr
		}
	}
}

// TestMadeLines measures the matcher on lines through towns and hills. Ways change every 200 m or so there, and
// with noise of 8 m along the line the place where one ends and the next begins is told to some 4 m at best, which
// alone costs half of what is lost.
func TestMadeLines(t *testing.T) {
	l := readLand(t, "andorra-2025-01-19.osm.pbf")
	n := newNet(l)
	town := n.inTown(l)
	lines := 24
	if testing.Short() {
		lines = 8
	}
	for _, row := range []struct {
		name        string
		make        func(r *rand.Rand) truth
		lines       int
		every, sd   float64
		mean, worst float64 // wanted shares of the length
	}{
		{"clean", func(r *rand.Rand) truth { return n.made(30000, r) }, lines, 0, 0, 0.995, 0.99},
		{"8 m noise, point every 50 m", func(r *rand.Rand) truth { return n.made(30000, r) }, lines, 50, 8, 0.97, 0.94},
		{"the same in towns", func(r *rand.Rand) truth { return town.made(20000, r) }, lines / 2, 50, 8, 0.96, 0.935},
		{"the same in loops", func(r *rand.Rand) truth { return n.around(15000, r, false) }, lines / 2, 50, 8, 0.97, 0.94},
		{"the same out and back", func(r *rand.Rand) truth { return n.around(15000, r, true) }, lines / 2, 50, 8, 0.97, 0.94},
		{"5 m noise, point every 30 m", func(r *rand.Rand) truth { return n.made(30000, r) }, lines / 2, 30, 5, 0.98, 0.95},
		{"3 m noise, point every 10 m", func(r *rand.Rand) truth { return n.made(30000, r) }, lines / 2, 10, 3, 0.985, 0.97},
		{"no noise, point every 100 m", func(r *rand.Rand) truth { return n.made(30000, r) }, lines / 2, 100, 0, 0.965, 0.94},
	} {
		var shares []float64
		for i := 0; i < row.lines; i++ {
			tr := row.make(rand.New(rand.NewPCG(uint64(i), 99)))
			line, trueM := tr.line, geo.Cumulative(nil, tr.line)
			if row.every > 0 {
				line, trueM = noisy(&tr, row.every, row.sd, uint64(i))
			}
			pts, at := pointsOf(line, trueM, 25)
			shares = append(shares, share(&tr, run(t, l, pts, line), at, 0.5))
		}
		slices.Sort(shares)
		sum := 0.0
		for _, s := range shares {
			sum += s / float64(len(shares))
		}
		t.Logf("%s: mean %.2f %%, worst %.2f, tenth %.2f, median %.2f %%", row.name, 100*sum, 100*shares[0], 100*shares[len(shares)/10], 100*shares[len(shares)/2])
		if sum < row.mean || shares[0] < row.worst {
			t.Errorf("%s: mean %.2f %%, worst %.2f %% on the right way, want %.1f and %.1f %%", row.name, 100*sum, 100*shares[0], 100*row.mean, 100*row.worst)
		}
	}
}

// leaves moves parts of a line off its ways: of every 5 km, 1.5 km are shifted sideways by 60 m as a
// driver would pass beside a washed-out track. Such steps get the way -1; where another way runs within
// 25 m of the shifted line they get -2, for nobody can say.
func (n *net) leaves(tr *truth, g *Graph) truth {
	cum := geo.Cumulative(nil, tr.line)
	out := truth{}
	for i, p := range tr.line {
		in := math.Mod(cum[i], 5000)
		q, w := p, int32(-1)
		if i < len(tr.way) {
			w = tr.way[i]
		}
		if in > 1000 && in < 2500 && i > 0 && i < len(tr.line)-1 {
			side := 60 * min(1, (in-1000)/100, (2500-in)/100)
			a, b := tr.line[i-1], tr.line[i+1]
			q = geo.Destination(p, geo.Bearing(a, b)+90, side)
			w = -1
			f := newFinder(g)
			f.find(&Point{At: q})
			if len(f.out) > 0 && f.out[0].off < 25 {
				w = -2
			}
		}
		out.line = append(out.line, q)
		if i < len(tr.way) {
			out.way = append(out.way, w)
		}
	}
	return out
}

func TestOffWay(t *testing.T) {
	l := readLand(t, "andorra-2025-01-19.osm.pbf")
	n := newNet(l)
	open, openAll, on, onAll := 0, 0, 0, 0
	for i := 0; i < 10; i++ {
		r := rand.New(rand.NewPCG(uint64(i), 3))
		tr := n.made(30000, r)
		pts, _ := pointsOf(tr.line, geo.Cumulative(nil, tr.line), 25)
		off := n.leaves(&tr, NewGraph(l.ways, pts))
		pts, at := pointsOf(off.line, geo.Cumulative(nil, off.line), 25)
		found := run(t, l, pts, nil)
		cum, k := geo.Cumulative(nil, off.line), 0
		for j, f := range found {
			_, k = off.at(cum, at[j], k)
			switch w := off.way[k]; {
			case w == -1:
				openAll++
				if f.Way == -1 {
					open++
				}
			case w >= 0:
				onAll++
				if f.Way == w {
					on++
				}
			}
		}
	}
	a, b := float64(open)/float64(openAll), float64(on)/float64(onAll)
	t.Logf("%.2f %% of %d points off the ways and %.2f %% of %d on them are recognised", 100*a, openAll, 100*b, onAll)
	if a < 0.97 || b < 0.97 {
		t.Errorf("%.2f %% of the points off the ways and %.2f %% on them are recognised, want 97 %% each", 100*a, 100*b)
	}
}
