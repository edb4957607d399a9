package match

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"lastroad/geo"
)

// TestScatterMeasured: noise put on lines is measured again, in towns too, where the nearest way is often another one.
func TestScatterMeasured(t *testing.T) {
	l := readLand(t, "andorra-2025-01-19.osm.pbf")
	n := newNet(l)
	town := n.inTown(l)
	for _, row := range []struct {
		name      string
		net       *net
		every, sd float64
	}{
		{"anywhere", n, 50, 8}, {"anywhere", n, 30, 5}, {"anywhere", n, 20, 4},
		{"in town", town, 50, 8}, {"in town", town, 30, 5}, {"in town", town, 20, 4},
	} {
		for seed := range uint64(4) {
			tr := row.net.made(15000, rand.New(rand.NewPCG(seed, 7)))
			line, trueM := noisy(&tr, row.every, row.sd, seed)
			pts, _ := pointsOf(line, trueM, 25)
			m := &matcher{g: NewGraph(l.ways, pts), points: pts}
			if err := m.candidates(context.Background(), nil); err != nil {
				t.Fatal(err)
			}
			if m.scatter < 0.7*row.sd || m.scatter > 1.45*row.sd {
				t.Errorf("%s, a point every %g m, seed %d: scatter of %g m is measured as %.1f m", row.name, row.every, seed, row.sd, m.scatter)
			}
		}
	}
}

// TestScatterOfClean: a line on its ways has the least scatter, wherever they lie.
func TestScatterOfClean(t *testing.T) {
	l := readLand(t, "andorra-2025-01-19.osm.pbf")
	town := newNet(l).inTown(l)
	tr := town.made(15000, rand.New(rand.NewPCG(1, 7)))
	pts, _ := pointsOf(tr.line, geo.Cumulative(nil, tr.line), 25)
	m := &matcher{g: NewGraph(l.ways, pts), points: pts, opt: Options{Line: tr.line}}
	if err := m.candidates(context.Background(), nil); err != nil {
		t.Fatal(err)
	}
	if m.scatter != minScatter {
		t.Errorf("a line without noise scatters by %g m, want %g", m.scatter, minScatter)
	}
	if m.paced() != nil {
		t.Error("a line without noise has a pace")
	}
}

// TestGait: the filter finds the length of the steps and bears with noise, and a detour costs more than none.
func TestGait(t *testing.T) {
	const n, sd = 60, 8.0
	p := &pace{stepM: 53, drift: 0.01}
	for i := range n {
		p.before = append(p.before, float64(i))
		p.spread = append(p.spread, sd*sd)
	}
	sum := 0.0 // of what the last places are told wrong
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 3))
		at := make([]float64, n)
		for i := range at {
			at[i] = 50*float64(i) + sd*r.NormFloat64()
		}
		walk := func(detour float64) (cost float64, g gait) {
			g = p.start(0)
			for i := 1; i < n; i++ {
				d := at[i] - at[i-1]
				if i == n/2 {
					d += detour
				}
				var c float64
				c, g = p.step(i, &g, d)
				cost += c
			}
			return cost, g
		}
		plain, g := walk(0)
		if math.Abs(g.stepM-50) > 1 {
			t.Errorf("seed %d: steps of 50 m are told as %.2f m", seed, g.stepM)
		}
		sum += math.Abs(at[n-1] + g.ahead - 50*(n-1))
		if long, _ := walk(40); long < plain+1 {
			t.Errorf("seed %d: a detour of 40 m costs %.2f, none costs %.2f", seed, long, plain)
		}
		if lost, _ := walk(2000); lost > plain+5*paceShare*paceLost {
			t.Errorf("seed %d: a jump of 2 km costs %.2f, none costs %.2f: the count does not begin anew", seed, lost, plain)
		}
	}
	if sum/20 > sd/2 { // a place by itself is told wrong by 0.8 of sd
		t.Errorf("the last places are told wrong by %.1f m on the mean", sum/20)
	}
}

// TestBreaks: places where a path is too long or too short are found within a step or two, and no others.
func TestBreaks(t *testing.T) {
	const n, sd = 300, 8.0
	for seed := range uint64(10) {
		r := rand.New(rand.NewPCG(seed, 4))
		pos := make([]float64, n)
		for i := range pos {
			pos[i] = 47.3*float64(i) + sd*r.NormFloat64()
			if i >= 90 {
				pos[i] += 40
			}
			if i >= 200 {
				pos[i] -= 60
			}
		}
		m := &matcher{scatter: sd}
		broken, err := m.breaks(context.Background(), pos)
		if err != nil {
			t.Fatal(err)
		}
		near := func(i, j int) bool { return i >= j-2 && i <= j+2 }
		first, second := false, false
		for i, b := range broken {
			if !b {
				continue
			}
			first, second = first || near(i, 90), second || near(i, 200)
			if !near(i, 90) && !near(i, 200) {
				t.Errorf("seed %d: a break is told before point %d", seed, i)
			}
		}
		if !first || !second {
			t.Errorf("seed %d: breaks before points 90 and 200 are told as %v and %v", seed, first, second)
		}
	}
	short, err := (&matcher{scatter: sd}).breaks(context.Background(), []float64{0, 50, 100})
	if err != nil || len(short) != 3 || short[1] || short[2] {
		t.Errorf("three positions break as %v, %v", short, err)
	}
}

// TestMetres: the length of a way is told apart from what driving it the wrong way adds.
func TestMetres(t *testing.T) {
	ways := draw(origins[0], []drawn{
		{xy: [][2]float64{{0, 0}, {100, 0}}, nodes: []int64{0, 1}},
		{xy: [][2]float64{{100, 0}, {300, 0}}, nodes: []int64{1, 2}, one: -1},
		{xy: [][2]float64{{300, 0}, {400, 0}}, nodes: []int64{2, 0}}})
	g := NewGraph(ways, walked(origins[0], [][2]float64{{0, 0}, {400, 0}}, 25))
	s := &search{wrong: 7}
	s.init(g)
	a, b, c := candidate{edge: 0, q: 60}, candidate{edge: 2, q: 30}, candidate{edge: 1, q: 50}
	for _, row := range []struct {
		from, to  candidate
		far, want float64
	}{{a, b, 277, 270}, {b, a, 270, 270}, {a, c, 97, 90}, {c, a, 90, 90}, {c, b, 187, 180}, {a, candidate{edge: 0, q: 95}, 35, 35}} {
		s.from(&row.from, []candidate{row.to}, 1000)
		d := s.reach(&row.from, &row.to)
		if got := s.metres(&row.from, &row.to, d); math.Abs(d-row.far) > 1e-2 || math.Abs(got-row.want) > 1e-2 {
			t.Errorf("from %v to %v: %.3f m of way that count as %.3f, want %g and %g", row.from, row.to, got, d, row.want, row.far)
		}
	}
}
