package bench

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
)

// goRow is a row whose both sides are benchmarks of one package, run together by go test.
type goRow struct {
	work string
	how  string
	ours string
	// peers are what ours is held against: the quickest of them counts.
	peers []string
	who   string
	unit  string // a unit that the benchmark reports, ns/op at least
	goal  float64
	check string // the test that compares the answers
}

// goPackages are the packages whose benchmarks are run and kept, with a pattern of what is worth keeping.
var goPackages = []struct{ pkg, pattern string }{
	{"./geo", "Stations/1M-to-1.1M"},
	{"./geo/gpx", "Read/(gpxgo-alone|read)"},
	{"./geo/index", "Delaware|Build"},
	{"./geo/network", "Network"},
	{"./geo/split", "Cut/(ours|full)/(few|many)"},
	{"./geo/height", "Heights"},
	{"./geo/walk", "Surface"},
	{"./geo/osm", "ReadDelaware"},
	{"./risk", "Judge"},
	{"./risk/coverage", "Evaluate|Simulate"},
	{"./app/plot", "Lines"},
}

var goRows = []goRow{
	{"resampling a million points to a step of 7.4 m", "a point, in process", "BenchmarkStations/1M-to-1.1M/ours-into-same", []string{"BenchmarkStations/1M-to-1.1M/orb"}, "orb/resample", "ns/point", 0.5, "ours on the ellipsoid, the peer on a sphere"},
	{"reading GPX of 10 MB, every field checked", "a document, in process", "BenchmarkRead/read", []string{"BenchmarkRead/gpxgo-alone"}, "gpxgo, which checks no ranges", "ns/op", 1.3, "every point, in TestSameAsGpxgo"},
	{"nearest road, 3 m beside roads", "in process", "BenchmarkDelaware/near/ours", []string{"BenchmarkDelaware/near/tidwall-growing", "BenchmarkDelaware/near/tidwall-nearby"}, "tidwall/rtree", "ns/op", 0.5, "exact, in the tests of geo/index"},
	{"nearest road, 2 to 30 km from roads", "in process", "BenchmarkDelaware/far/ours", []string{"BenchmarkDelaware/far/tidwall-growing", "BenchmarkDelaware/far/tidwall-nearby"}, "tidwall/rtree", "ns/op", 0, "exact, in the tests of geo/index"},
	{"optimal cut of 40 000 samples into a few legs", "in process", "BenchmarkCut/ours/few", []string{"BenchmarkCut/full/few"}, "the full dynamic programme", "ns/op", 0.1, "same cost, in the tests of geo/split"},
	{"optimal cut of 40 000 samples into thousands of legs", "in process", "BenchmarkCut/ours/many", []string{"BenchmarkCut/full/many"}, "the full dynamic programme", "ns/op", 0.1, "same cost, in the tests of geo/split"},
	{"quickest ways over 250 000 joints", "in process", "BenchmarkNetwork/all to nearest kept", []string{"BenchmarkNetwork/gonum, from one to all"}, "gonum graph/path", "ns/op", 0, "same lengths, in the tests of geo/network"},
	{"drawing 200 000 segments", "in process", "BenchmarkLines/all/own", []string{"BenchmarkLines/all/vector"}, "x/image/vector", "ns/op", 0.35, "ink, in the tests of app/plot"},
	{"the same, thinned to the pixel as a map hands them over", "in process", "BenchmarkLines/thinned/own", []string{"BenchmarkLines/thinned/vector"}, "x/image/vector", "ns/op", 0.35, "ink, in the tests of app/plot"},
}

// result is one benchmark's medians by unit.
type result map[string][]float64

var suffix = regexp.MustCompile(`-\d+$`)

// parseGo reads the lines of go test -bench: name, runs, then value and unit in pairs.
func parseGo(r io.Reader) (map[string]result, error) {
	found := map[string]result{}
	lines := bufio.NewScanner(r)
	for lines.Scan() {
		f := strings.Fields(lines.Text())
		if len(f) < 4 || !strings.HasPrefix(f[0], "Benchmark") {
			continue
		}
		if _, err := strconv.Atoi(f[1]); err != nil {
			continue
		}
		name := strings.ReplaceAll(suffix.ReplaceAllString(f[0], ""), "_", " ")
		if found[name] == nil {
			found[name] = result{}
		}
		for i := 2; i+1 < len(f); i += 2 {
			v, err := strconv.ParseFloat(f[i], 64)
			if err != nil {
				return nil, fmt.Errorf("%q is no number in the line %q", f[i], lines.Text())
			}
			found[name][f[i+1]] = append(found[name][f[i+1]], v)
		}
	}
	return found, lines.Err()
}

// goBenchmarks runs the packages' benchmarks, keeps their lines in file and makes the rows of them.
func (l *lab) goBenchmarks(file string) error {
	var all bytes.Buffer
	for _, p := range goPackages {
		l.out("== benchmarks of %s", p.pkg)
		cmd := exec.Command("go", "test", "-run", "^$", "-bench", p.pattern, "-benchtime", "0.3s", "-count", strconv.Itoa(l.rounds), "-timeout", "20m", p.pkg)
		cmd.Dir = l.top
		out, err := cmd.CombinedOutput()
		if err != nil {
			return fmt.Errorf("benchmarks of %s: %w: %s", p.pkg, err, out)
		}
		all.Write(out)
	}
	if err := os.WriteFile(file, all.Bytes(), 0o644); err != nil {
		return err
	}
	found, err := parseGo(bytes.NewReader(all.Bytes()))
	if err != nil {
		return err
	}
	for _, r := range goRows {
		if err := l.goRow(r, found); err != nil {
			return err
		}
	}
	return nil
}

func (l *lab) goRow(r goRow, found map[string]result) error {
	value := func(name string) float64 { return median(found[name][r.unit]) }
	ours, peer := value(r.ours), math.Inf(1)
	for _, p := range r.peers {
		if v := value(p); v < peer {
			peer = v
		}
	}
	if ours != ours || math.IsInf(peer, 1) {
		return l.skip(r.work, r.who, "there is no benchmark "+r.ours+" with a peer beside it")
	}
	scale, unit := 1.0, r.unit
	if unit == "ns/op" || unit == "ns/point" {
		if unit = "ns"; ours > 1e5 {
			scale, unit = 1e-6, "ms"
		}
	}
	l.add(row{work: r.work, how: r.how, unit: unit, ours: ours * scale, peer: peer * scale, who: r.who, goal: r.goal, check: r.check})
	return nil
}
