package match

import (
	"context"
	"encoding/csv"
	"encoding/xml"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"

	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/osm"
	"github.com/paulmach/osm/osmpbf"

	"lastroad/geo"
)

// shared is a file of the folder of open test data, which is not part of the repository.
func shared(t testing.TB, name string) string {
	dir := os.Getenv("LASTROAD_SHARED")
	if dir == "" {
		dir = "../../../shared"
	}
	f := filepath.Join(dir, "data", name)
	if _, err := os.Stat(f); err != nil {
		t.Skipf("the open test data are not at hand (%s); set LASTROAD_SHARED to their folder", f)
	}
	return f
}

type land struct {
	ways  []Way
	ids   []int64
	tags  []osm.Tags
	index map[int64]int32
}

// readLand reads every highway of a PBF extract.
func readLand(t testing.TB, name string) *land {
	f, err := os.Open(shared(t, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	at := map[int64]orb.Point{}
	l := &land{index: map[int64]int32{}}
	sc := osmpbf.New(context.Background(), f, 1)
	sc.SkipRelations = true
	for sc.Scan() {
		switch o := sc.Object().(type) {
		case *osm.Node:
			at[int64(o.ID)] = orb.Point{o.Lon, o.Lat}
		case *osm.Way:
			h := o.Tags.Find("highway")
			if h == "" || o.Tags.Find("area") == "yes" {
				continue
			}
			w := Way{}
			for _, n := range o.Nodes {
				if p, ok := at[int64(n.ID)]; ok {
					w.Line, w.Nodes = append(w.Line, p), append(w.Nodes, int64(n.ID))
				}
			}
			switch o.Tags.Find("oneway") {
			case "yes", "1":
				w.OneWay = 1
			case "-1":
				w.OneWay = -1
			}
			if o.Tags.Find("junction") == "roundabout" {
				w.OneWay = 1
			}
			switch h {
			case "path", "bridleway":
				w.Doubt = 1
			case "footway", "steps", "cycleway", "pedestrian", "corridor", "platform", "proposed", "construction":
				w.Doubt = 2
			}
			l.index[int64(o.ID)] = int32(len(l.ways))
			l.ways, l.ids, l.tags = append(l.ways, w), append(l.ids, int64(o.ID)), append(l.tags, o.Tags)
		}
	}
	if err := sc.Err(); err != nil {
		t.Fatal(err)
	}
	return l
}

// truth is a line with the way that each of its steps follows.
type truth struct {
	line orb.LineString
	way  []int32 // of step i, from point i to i+1
}

func readTruth(t testing.TB, l *land) truth {
	var doc struct {
		Pts []struct {
			Lat float64 `xml:"lat,attr"`
			Lon float64 `xml:"lon,attr"`
		} `xml:"trk>trkseg>trkpt"`
	}
	b, err := os.ReadFile(shared(t, "andorra-ne-tracks.gpx"))
	if err != nil {
		t.Fatal(err)
	}
	if err := xml.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	tr := truth{way: make([]int32, len(doc.Pts)-1)}
	for _, p := range doc.Pts {
		tr.line = append(tr.line, orb.Point{p.Lon, p.Lat})
	}
	f, err := os.Open(shared(t, "andorra-ne-tracks.ways.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows[1:] {
		from, _ := strconv.Atoi(r[0])
		to, _ := strconv.Atoi(r[1])
		id, _ := strconv.ParseInt(r[4], 10, 64)
		for i := from; i < to; i++ {
			tr.way[i] = l.index[id]
		}
	}
	return tr
}

// at gives for a distance along the true line its place and the step that holds it.
func (tr *truth) at(cum []float64, d float64, hint int) (orb.Point, int) {
	for hint < len(cum)-2 && cum[hint+1] <= d {
		hint++
	}
	for hint > 0 && cum[hint] > d {
		hint--
	}
	t := (d - cum[hint]) / (cum[hint+1] - cum[hint])
	a, b := tr.line[hint], tr.line[hint+1]
	return orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}, hint
}

// pointsOf lays points stepM apart on a line, with the true distance of each by linear interpolation
// between the true distances of the line's own points.
func pointsOf(line orb.LineString, trueM []float64, stepM float64) (pts []Point, at []float64) {
	cum := geo.Cumulative(nil, line)
	for _, s := range geo.Stations(nil, line, stepM) {
		l := cum[s.Seg+1] - cum[s.Seg]
		pts = append(pts, Point{At: s.At(), AlongM: s.DistanceM, GapM: min(float64(s.T), 1-float64(s.T)) * l})
		at = append(at, trueM[s.Seg]+float64(s.T)*(trueM[s.Seg+1]-trueM[s.Seg]))
	}
	return pts, at
}

// share is the part of the length that lies on the right way. A point within slack metres of the
// place where two true ways meet may lie on either.
func share(tr *truth, found []Found, at []float64, slack float64) float64 {
	cum := geo.Cumulative(nil, tr.line)
	good, all, k := 0.0, 0.0, 0
	for i, f := range found {
		w := (at[min(i+1, len(at)-1)] - at[max(i-1, 0)]) / 2
		all += w
		_, k = tr.at(cum, at[i], k)
		ok := tr.way[k] == f.Way
		for j := k; !ok && j > 0 && at[i]-cum[j] <= slack; j-- {
			ok = tr.way[j-1] == f.Way
		}
		for j := k; !ok && j+2 < len(cum) && cum[j+1]-at[i] <= slack; j++ {
			ok = tr.way[j+1] == f.Way
		}
		if ok {
			good += w
		}
	}
	return good / all
}

// noisy gives a point every stepM of the true line, moved by normal noise on each axis.
func noisy(tr *truth, stepM, sdM float64, seed uint64) (orb.LineString, []float64) {
	r := rand.New(rand.NewPCG(seed, 0))
	cum := geo.Cumulative(nil, tr.line)
	end := cum[len(cum)-1]
	var line orb.LineString
	var trueM []float64
	k := 0
	for d := 0.0; ; d = min(end, d+stepM) {
		var p orb.Point
		p, k = tr.at(cum, d, k)
		x, y := sdM*r.NormFloat64(), sdM*r.NormFloat64()
		line = append(line, geo.NewPlane(p).FromXY(x, y))
		trueM = append(trueM, d)
		if d == end {
			return line, trueM
		}
	}
}

// run matches points; line is the one that they lie on, or nil.
func run(t testing.TB, l *land, pts []Point, line orb.LineString) []Found {
	g := NewGraph(l.ways, pts)
	found, err := Match(context.Background(), g, pts, Options{Line: line}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func TestAndorraClean(t *testing.T) {
	l := readLand(t, "andorra-2025-01-19.osm.pbf")
	tr := readTruth(t, l)
	for _, step := range []float64{5, 25} {
		pts, at := pointsOf(tr.line, geo.Cumulative(nil, tr.line), step)
		s := share(&tr, run(t, l, pts, tr.line), at, 0.5)
		t.Logf("clean line, every %g m: %.3f %% on the right way", step, 100*s)
		if s < 0.995 {
			t.Errorf("clean line, every %g m: %.3f %% of the length is on the right way, want 99.5 %%", step, 100*s)
		}
	}
}

func TestAndorraNoisy(t *testing.T) {
	l := readLand(t, "andorra-2025-01-19.osm.pbf")
	tr := readTruth(t, l)
	sum, worst := 0.0, 1.0
	for seed := uint64(1); seed <= 10; seed++ {
		line, trueM := noisy(&tr, 50, 8, seed)
		pts, at := pointsOf(line, trueM, 25)
		s := share(&tr, run(t, l, pts, line), at, 0)
		t.Logf("seed %d: %.3f %%", seed, 100*s)
		sum += s / 10
		worst = math.Min(worst, s)
	}
	t.Logf("mean %.3f %%, worst %.3f %%", 100*sum, 100*worst)
	if sum < 0.97 || worst < 0.94 {
		t.Errorf("noise of 8 m, a point every 50 m: mean %.3f %%, worst %.3f %% on the right way, want 97 and 94 %%", 100*sum, 100*worst)
	}
}
