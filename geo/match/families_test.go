package match

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/osm"

	"lastroad/geo"
)

// family is a kind of line made from the ways of a land.
type family struct {
	name string
	make func(r *rand.Rand) truth
}

// kept keeps the arcs of the net that follow ways of a kind, and begins lines on them.
func (n *net) kept(l *land, is func(t osm.Tags) bool) *net {
	out := &net{at: n.at, arcs: make([][]step, len(n.arcs))}
	for u, arcs := range n.arcs {
		for _, a := range arcs {
			if is(l.tags[a.way]) {
				out.arcs[u] = append(out.arcs[u], a)
			}
		}
		if len(out.arcs[u]) > 0 {
			out.good = append(out.good, int32(u))
		}
	}
	return out
}

// over is a net whose lines begin, and so end and turn, on ways of a kind and follow any.
func (n *net) over(l *land, is func(t osm.Tags) bool) *net {
	out := *n
	out.good = n.kept(l, is).good
	return &out
}

func highway(kinds ...string) func(t osm.Tags) bool {
	return func(t osm.Tags) bool { return slices.Contains(kinds, t.Find("highway")) }
}

// families are the kinds of lines that the matcher is tried on: each is a different mixture of what makes it err.
func families(l *land) []family {
	n := newNet(l)
	town := n.inTown(l)
	street := n.kept(l, highway("residential", "service", "living_street", "tertiary", "unclassified"))
	service := n.over(l, highway("service"))
	structure := n.over(l, func(t osm.Tags) bool { return t.Find("tunnel") != "" || t.Find("bridge") != "" })
	round := n.over(l, func(t osm.Tags) bool { return t.Find("junction") == "roundabout" || t.Find("oneway") == "yes" })
	tracks := n.kept(l, highway("track", "unclassified", "service"))
	made := func(n *net, m float64) func(*rand.Rand) truth {
		return func(r *rand.Rand) truth { return n.made(m, r) }
	}
	return []family{
		{"anywhere", made(n, 30000)},
		{"from street to street", made(town, 20000)},
		{"between two streets", func(r *rand.Rand) truth { return town.between(r, 4000) }},
		{"minor streets only", made(street, 12000)},
		{"service roads and car parks", made(service, 15000)},
		{"bridges and tunnels", made(structure, 20000)},
		{"roundabouts and carriageways", made(round, 20000)},
		{"tracks only", made(tracks, 20000)},
		{"hairpins on tracks", made(tracks.atHairpins(l), 12000)},
		{"footpaths beside tracks", made(tracks.besideFootpaths(l), 12000)},
		{"loops", func(r *rand.Rand) truth { return n.around(15000, r, false) }},
		{"out and back", func(r *rand.Rand) truth { return n.around(15000, r, true) }},
		{"out and back in town", func(r *rand.Rand) truth { return town.around(6000, r, true) }},
	}
}

// atHairpins is a net whose lines begin and end at places where a way turns back within 60 m.
func (n *net) atHairpins(l *land) *net {
	out := *n
	out.good = nil
	const arm = 30.0
	node := map[orb.Point]int32{}
	for _, v := range n.good {
		node[n.at[v]] = v
	}
	for _, w := range n.waysOf() {
		line := l.ways[w].Line
		cum := geo.Cumulative(nil, line)
		for i := range line {
			a, b := i, i
			for a > 0 && cum[i]-cum[a] < arm {
				a--
			}
			for b < len(line)-1 && cum[b]-cum[i] < arm {
				b++
			}
			v, ok := node[line[i]]
			if ok && cum[i]-cum[a] >= arm && cum[b]-cum[i] >= arm && geo.Distance(line[a], line[b]) < arm {
				out.good = append(out.good, v)
			}
		}
	}
	return &out
}

// besideFootpaths is a net whose lines begin and end where a way that vehicles seldom follow runs within 25 m, but not from
// the place itself.
func (n *net) besideFootpaths(l *land) *net {
	out := *n
	out.good = nil
	var foot []Way
	for _, w := range l.ways {
		if w.Doubt > 0 {
			foot = append(foot, w)
		}
	}
	var at []Point
	for _, v := range n.good {
		at = append(at, Point{At: n.at[v]})
	}
	f := newFinder(NewGraph(foot, at))
	for i, v := range n.good {
		f.out = f.out[:0]
		if f.find(&at[i]); len(f.out) > 0 && f.out[0].off > 3 && f.out[0].off < 25 {
			out.good = append(out.good, v)
		}
	}
	return &out
}

// waysOf are the ways of a net's arcs in the order of their numbers.
func (n *net) waysOf() []int32 {
	seen := map[int32]bool{}
	var ways []int32
	for _, arcs := range n.arcs {
		for _, a := range arcs {
			if !seen[a.way] {
				seen[a.way] = true
				ways = append(ways, a.way)
			}
		}
	}
	slices.Sort(ways)
	return ways
}

// between is a single path of some length between two places.
func (n *net) between(r *rand.Rand, leastM float64) truth {
	for {
		from, to := n.good[r.IntN(len(n.good))], n.good[r.IntN(len(n.good))]
		if d := geo.Distance(n.at[from], n.at[to]); d < leastM/2 || d > 12000 {
			continue
		}
		p := n.path(from, to, r)
		tr := truth{}
		tr.line = append(tr.line, n.at[from])
		m := 0.0
		for _, s := range p {
			tr.line, tr.way = append(tr.line, n.at[s.to]), append(tr.way, s.way)
			m += s.m
		}
		if m >= leastM {
			return tr
		}
	}
}

// causes tells how many metres lie on wrong ways, and why.
type causes map[string]float64

// explain adds the wrong metres of a matched line by their causes.
func (c causes) explain(l *land, tr *truth, found []Found, at []float64) {
	cum := geo.Cumulative(nil, tr.line)
	end := cum[len(cum)-1]
	k := 0
	for i, f := range found {
		w := (at[min(i+1, len(at)-1)] - at[max(i-1, 0)]) / 2
		_, k = tr.at(cum, at[i], k)
		c["all"] += w
		if tr.way[k] == f.Way {
			continue
		}
		switch near := tr.away(cum, k, at[i], f.Way); {
		case at[i] < 60 || at[i] > end-60:
			c["at an end"] += w
		case f.Way < 0:
			c["on no way"] += w
		case near < 15:
			c["change of way, up to 15 m"] += w
		case near < 60:
			c["change of way, up to 60 m"] += w
		case l.ways[f.Way].Doubt > 0:
			c["on a path or pavement"] += w
		case math.IsInf(near, 1):
			c["on another road"] += w
		default:
			c["on a way of another part"] += w
		}
	}
}

// away is how far along the line the nearest stretch on a way lies from a place, +Inf when the line never follows it.
func (tr *truth) away(cum []float64, k int, at float64, way int32) float64 {
	d := math.Inf(1)
	for j := range tr.way {
		if tr.way[j] == way {
			d = min(d, max(cum[j]-at, at-cum[j+1], 0))
		}
	}
	return d
}

func (c causes) String() string {
	var keys []string
	for k := range c {
		if k != "all" {
			keys = append(keys, k)
		}
	}
	slices.SortFunc(keys, func(a, b string) int { return int(math.Copysign(1, c[b]-c[a])) })
	var b strings.Builder
	for _, k := range keys {
		fmt.Fprintf(&b, ", %s %.2f %%", k, 100*c[k]/c["all"])
	}
	return strings.TrimPrefix(b.String(), ", ")
}

// TestFamilies measures the matcher on every kind of line with noise of 8 m and a point every 50 m, and tells why it
// errs.
func TestFamilies(t *testing.T) {
	if os.Getenv("LASTROAD_LONG") == "" {
		t.Skip("takes minutes; set LASTROAD_LONG")
	}
	l := readLand(t, "andorra-2025-01-19.osm.pbf")
	const lines = 8
	for _, fam := range families(l) {
		var half [2][]float64
		why := causes{}
		told := 0.0 // the mean share when the matcher is told the true ways of the neighbourhood
		for i := range lines {
			tr := fam.make(rand.New(rand.NewPCG(uint64(i), 1717)))
			line, trueM := noisy(&tr, 50, 8, uint64(i)+100)
			pts, at := pointsOf(line, trueM, 25)
			found := run(t, l, pts, line)
			half[i%2] = append(half[i%2], share(&tr, found, at, 0))
			why.explain(l, &tr, found, at)
			told += share(&tr, toldWays(t, l, &tr, pts, at, line), at, 0) / lines
		}
		for h, name := range []string{"even", "odd"} {
			mean, worst := 0.0, 1.0
			for _, s := range half[h] {
				mean += s / float64(len(half[h]))
				worst = min(worst, s)
			}
			t.Logf("%-30s %-4s mean %.2f %%, worst %.2f %%", fam.name, name, 100*mean, 100*worst)
			if mean < 0.965 || worst < 0.92 {
				t.Errorf("%s, %s lines: mean %.2f %%, worst %.2f %% on the right way, want 96.5 and 92 %%", fam.name, name, 100*mean, 100*worst)
			}
		}
		t.Logf("%-30s told the true ways %.2f %%; wrong: %s", fam.name, 100*told, why)
	}
}

// toldWays matches a line with only those ways to choose from that the true line follows within 60 m of a point. What
// it still loses lies at the joints, where nobody recorded the change; the rest of what a match loses is lost to
// other ways.
func toldWays(t testing.TB, l *land, tr *truth, pts []Point, at []float64, line orb.LineString) []Found {
	m := &matcher{g: NewGraph(l.ways, pts), points: pts, opt: Options{Line: line}}
	if err := m.candidates(context.Background(), nil); err != nil {
		t.Fatal(err)
	}
	cum := geo.Cumulative(nil, tr.line)
	var kept []candidate
	first := []int32{0}
	for i := range pts {
		for _, c := range m.cand[m.first[i]:m.first[i+1]] {
			if tr.follows(cum, at[i]-60, at[i]+60, m.g.edges[c.edge].way) {
				kept = append(kept, c)
			}
		}
		first = append(first, int32(len(kept)))
	}
	m.cand, m.first = kept, first
	if err := m.viterbi(context.Background(), nil); err != nil {
		t.Fatal(err)
	}
	found := make([]Found, len(pts))
	for i := range found {
		found[i].Way = -1
	}
	if err := m.trace(context.Background(), found); err != nil {
		t.Fatal(err)
	}
	return found
}

// follows tells whether the line lies on a way anywhere between two distances along it.
func (tr *truth) follows(cum []float64, from, to float64, way int32) bool {
	for j := max(0, sort.SearchFloat64s(cum, from)-1); j < len(tr.way) && cum[j] <= to; j++ {
		if tr.way[j] == way {
			return true
		}
	}
	return false
}
