package bench

import (
	"math"
	"strings"
	"testing"
)

func TestMedian(t *testing.T) {
	for _, c := range []struct {
		v    []float64
		want float64
	}{{nil, math.NaN()}, {[]float64{3}, 3}, {[]float64{9, 1, 4}, 4}, {[]float64{8, 1, 4, 2}, 3}} {
		if got := median(c.v); got != c.want && !(got != got && c.want != c.want) {
			t.Errorf("median(%v) = %v, want %v", c.v, got, c.want)
		}
	}
}

func TestParseGo(t *testing.T) {
	found, err := parseGo(strings.NewReader(`goos: linux
pkg: lastroad/geo
BenchmarkStations/1M-to-1.1M/orb-2         	     10	  20000000 ns/op	        18.50 ns/point	 99 B/op	       1 allocs/op
BenchmarkStations/1M-to-1.1M/orb-2         	     10	  22000000 ns/op	        20.50 ns/point	 99 B/op	       1 allocs/op
BenchmarkNetwork/gonum,_from_one_to_all-2  	      1	 423000000 ns/op
    bench_test.go:3: 12 segments
PASS
`))
	if err != nil {
		t.Fatal(err)
	}
	if got := median(found["BenchmarkStations/1M-to-1.1M/orb"]["ns/point"]); got != 19.5 {
		t.Errorf("orb takes %v ns a point, want 19.5", got)
	}
	if got := median(found["BenchmarkNetwork/gonum, from one to all"]["ns/op"]); got != 423e6 {
		t.Errorf("gonum takes %v ns, want 423e6", got)
	}
	if len(found) != 2 {
		t.Errorf("%d benchmarks found, want 2", len(found))
	}
}

func TestTable(t *testing.T) {
	nan := math.NaN()
	rows := []row{
		{work: "a", unit: "ms", ours: 50, peer: 100, who: "peer 1", goal: 0.6, check: "3 things"},
		{work: "b", unit: "ns", ours: 90, peer: 100, who: "peer 2", goal: 0.6},
		{work: "c", who: "peer 3", why: "it is not installed", ours: nan, peer: nan},
		{work: "d", unit: "MB", ours: 1, peer: 2, who: "peer 4"},
	}
	text := markdown(rows, "today, here")
	for _, want := range []string{"today, here\n", "| a | 50.0 ms | 100 ms, peer 1 | 0.500 | 0.6 | yes | 3 things |", "| 0.900 | 0.6 | no |", "| - | no goal |",
		"Not measured: c, beside peer 3: it is not installed."} {
		if !strings.Contains(text, want) {
			t.Errorf("the table lacks %q:\n%s", want, text)
		}
	}
	doc := "before\n" + begin + "\nold\n" + end + "\nafter\n"
	once, err := quote(doc, text)
	if err != nil {
		t.Fatal(err)
	}
	twice, err := quote(once, text)
	if err != nil || once != twice || strings.Contains(once, "old") || !strings.HasPrefix(once, "before\n") || !strings.HasSuffix(once, "\nafter\n") {
		t.Errorf("quoting twice differs, or lost something (%v):\n%s", err, once)
	}
	if _, err := quote("no markers", text); err == nil {
		t.Error("a text without markers takes a table")
	}
}

// The sources of the peers are all there, and nothing else.
func TestPeers(t *testing.T) {
	entries, err := peers.ReadDir("peers")
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]bool{"roads.cpp": true, "nearest.c": true, "heights.py": true, "draws.py": true, "walk.sh": true, "build.js": true}
	for _, e := range entries {
		if !want[e.Name()] {
			t.Errorf("%s belongs to no comparison", e.Name())
		}
		delete(want, e.Name())
	}
	for n := range want {
		t.Errorf("%s is missing", n)
	}
}

// The model that both sides draw from is well formed and means what the table says: ten troubles a trip.
func TestManyTroubles(t *testing.T) {
	m, means := manyTroubles()
	if err := m.Check(); err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, v := range means {
		sum += v
	}
	if len(means) != 1000 || math.Abs(sum-10) > 0.5 {
		t.Errorf("%d cells with %.2f troubles a trip, want 1000 with about 10", len(means), sum)
	}
}

func TestDemoTileHasVoids(t *testing.T) {
	_, _, tile, err := demoTile()
	if err != nil {
		t.Fatal(err)
	}
	if tile.Voids < 500 || tile.Voids > 2000 {
		t.Errorf("%d voids, want some hundreds", tile.Voids)
	}
}
