package trip

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/gpx"
)

// madeDrive writes a route of some 67 km along a parallel and a region with ways of changing ground under it, both
// invented.
func madeDrive(t *testing.T) (route, region string) {
	t.Helper()
	dir := t.TempDir()
	route, region = filepath.Join(dir, "drive.gpx"), filepath.Join(dir, "made.osm")
	var line orb.LineString
	var nodes, ways bytes.Buffer
	for i := range 61 {
		lon := float64(i) / 100
		line = append(line, orb.Point{lon, 0.2})
		fmt.Fprintf(&nodes, `<node id="%d" lat="0.2" lon="%.2f"/><node id="%d" lat="0.25" lon="%.2f"/>`, i+1, lon, i+101, lon)
	}
	for k, surface := range []string{"gravel", "sand", "rock", "gravel", "mud", "grass"} {
		fmt.Fprintf(&ways, `<way id="%d">`, k+1)
		for i := 10 * k; i <= 10*k+10; i++ {
			fmt.Fprintf(&ways, `<nd ref="%d"/>`, i+1)
		}
		fmt.Fprintf(&ways, `<tag k="highway" v="track"/><tag k="surface" v="%s"/></way>`, surface)
	}
	ways.WriteString(`<way id="90"><nd ref="101"/><nd ref="161"/><tag k="highway" v="secondary"/><tag k="surface" v="asphalt"/></way>`)
	var g bytes.Buffer
	if err := gpx.Write(&g, gpx.FromRoute(geo.Route{Name: "drive", Line: line})); err != nil {
		t.Fatal(err)
	}
	for path, data := range map[string]string{route: g.String(), region: `<osm version="0.6">` + nodes.String() + ways.String() + `</osm>`} {
		if err := os.WriteFile(path, []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return route, region
}

func open(t *testing.T, req Request) *Document {
	t.Helper()
	req.Quick = true
	d, err := Open(context.Background(), req, nil)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func edit(t *testing.T, d *Document, change func(*Plan)) *Document {
	t.Helper()
	p := d.Plan.Clone()
	change(&p)
	n, err := d.With(context.Background(), p, nil)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// reopened saves a document and opens the file.
func reopened(t *testing.T, d *Document) *Document {
	t.Helper()
	saved, err := d.Save(filepath.Join(t.TempDir(), "drive.trip"))
	if err != nil {
		t.Fatal(err)
	}
	return open(t, Request{Files: []string{saved.Path}})
}

// hold reports what is not as wanted of the leg over a place: where it begins and ends, to two samples, its name
// ("" = any) and whether it is locked.
func hold(t *testing.T, when string, d *Document, atM, fromM, toM float64, name string, locked bool) {
	t.Helper()
	s := d.Survey
	for i, l := range s.Legs {
		if s.FromM(i) > atM || atM >= s.ToM(i) {
			continue
		}
		if math.Abs(s.FromM(i)-fromM) > 50 || math.Abs(s.ToM(i)-toM) > 50 || name != "" && l.Name != name || l.Locked != locked {
			t.Errorf("%s: km %.2f lies in %q, km %.2f to %.2f, locked %v; want %q, %.2f to %.2f, %v", when, atM/1000, l.Name, s.FromM(i)/1000, s.ToM(i)/1000, l.Locked, name, fromM/1000, toM/1000, locked)
		}
		return
	}
	t.Errorf("%s: no leg lies at km %.2f", when, atM/1000)
}

// quiet reports notes that say of an edit of the legs that it was not made.
func quiet(t *testing.T, when string, d *Document) {
	t.Helper()
	for _, n := range append(append([]string(nil), d.Notes...), d.Survey.Notes...) {
		if strings.Contains(n, "to the legs") || strings.Contains(n, "locked") {
			t.Errorf("%s: %s", when, n)
		}
	}
}

// What the user did to the legs lasts through saving, a turn of the route, a region that comes later, and back.
func TestLegsStayAsTheUserMadeThem(t *testing.T) {
	state(t)
	route, region := madeDrive(t)
	d := open(t, Request{Files: []string{route}})
	n := d.Survey.LengthM()
	d = edit(t, d, func(p *Plan) {
		p.Legs = append(p.Legs,
			LegEdit{Do: "split", FromM: 12000}, LegEdit{Do: "split", FromM: 20000},
			LegEdit{Do: "rename", FromM: 16000, Name: "The long sand"},
			LegEdit{Do: "lock", FromM: 40000, ToM: 52000}, LegEdit{Do: "rename", FromM: 46000, Name: "The pan"},
			LegEdit{Do: "split", FromM: 30000}, LegEdit{Do: "merge", FromM: 20000, ToM: 40000})
		p.Stops = append(p.Stops, Stop{Name: "well", AtM: 5000})
		p.Grounds = append(p.Grounds, GroundChoice{FromM: 1000, ToM: 3000, Ground: geo.Mud})
	})
	ahead := func(when string, d *Document) {
		t.Helper()
		hold(t, when, d, 16000, 12000, 20000, "The long sand", false)
		hold(t, when, d, 30000, 20000, 40000, "", false)
		hold(t, when, d, 46000, 40000, 52000, "The pan", true)
		quiet(t, when, d)
	}
	back := func(when string, d *Document) {
		t.Helper()
		hold(t, when, d, n-16000, n-20000, n-12000, "The long sand", false)
		hold(t, when, d, n-30000, n-40000, n-20000, "", false)
		hold(t, when, d, n-46000, n-52000, n-40000, "The pan", true)
		if st := d.Plan.Stops[0]; st.Name != "well" || math.Abs(st.AtM-(n-5000)) > 1 {
			t.Errorf("%s: the stop is %+v", when, st)
		}
		quiet(t, when, d)
	}
	turn := func(d *Document) *Document { return edit(t, d, func(p *Plan) { p.Turn(d.Survey) }) }

	ahead("edited", d)
	d = reopened(t, d)
	ahead("reopened", d)
	d = turn(d)
	back("turned", d)
	d = reopened(t, d)
	back("turned and reopened", d)
	d = open(t, Request{Files: []string{region}, Base: d})
	if d.Region == nil || len(d.Survey.Ways) == 0 {
		t.Fatal("the region was not taken in")
	}
	back("with a region", d)
	d = turn(d)
	ahead("turned back", d)
	ahead("turned back and reopened", reopened(t, d))
}

// The demo's line without its stops, 228 km, gives as many legs as a person looks over.
func TestLegsOfALongDrive(t *testing.T) {
	state(t)
	d, err := Demo(context.Background(), Request{Quick: true}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, turned := range []bool{false, true} {
		d = edit(t, d, func(p *Plan) {
			p.Stops, p.Legs = nil, nil
			if turned {
				p.Turn(d.Survey)
			}
		})
		s := d.Survey
		t.Logf("turned %v: %.0f km, %d legs", turned, s.LengthM()/1000, len(s.Legs))
		if n := len(s.Legs); s.LengthM() < 200e3 || n < 10 || n > 40 {
			t.Errorf("turned %v: %.0f km give %d legs, want at least 200 km and 10 to 40 legs", turned, s.LengthM()/1000, n)
		}
	}
}

// Turning twice leaves what the user did where it was.
func TestTurningTwiceIsTheSame(t *testing.T) {
	s := &geo.Survey{Samples: make([]geo.Sample, 101), Legs: []geo.Leg{{From: 0, To: 20, Name: "a"}, {From: 20, To: 50, Name: "b", Locked: true}, {From: 50, To: 100, Name: "c"}}}
	for i := range s.Samples {
		s.Samples[i].DistanceM = 100 * float64(i)
	}
	back := &geo.Survey{Samples: s.Samples, Legs: []geo.Leg{{From: 0, To: 50, Name: "c"}, {From: 50, To: 80, Name: "b", Locked: true}, {From: 80, To: 100, Name: "a"}}}
	p := Plan{
		Stops:   []Stop{{Name: "x", AtM: 1000}, {Name: "y", AtM: 9000}, {Name: "at the very end", AtM: 10010}},
		Grounds: []GroundChoice{{FromM: 500, ToM: 1500, Ground: geo.Sand}},
		Legs: []LegEdit{{Do: "lock", FromM: 2000, ToM: 5000}, {Do: "split", FromM: 2000}, {Do: "merge", FromM: 5000, ToM: 10000},
			{Do: "rename", FromM: 3500, Name: "b"}},
	}
	q := p.Clone()
	q.Turn(s)
	if q.Stops[0].AtM != 0 || q.Stops[2].Name != "x" || q.Grounds[0].FromM != 8500 || !q.Reversed {
		t.Errorf("turned: %+v", q)
	}
	if err := q.check(); err != nil {
		t.Errorf("the turned plan is refused: %v", err)
	}
	q.Turn(back)
	p.Stops[2].AtM = 10000 // it was beyond the end
	if !p.MeasuresLike(q) {
		t.Errorf("turned twice:\n%+v\nwas\n%+v", q, p)
	}
}

// The demo saved as a trip of one's own keeps its ground when it is opened again and cut anew, or recovered.
func TestTheSavedDemoKeepsItsGround(t *testing.T) {
	state(t)
	d, err := Demo(context.Background(), Request{Quick: true}, nil)
	if err != nil {
		t.Fatal(err)
	}
	again := reopened(t, d)
	cut := edit(t, again, func(p *Plan) { p.Legs = append(p.Legs, LegEdit{Do: "split", FromM: 100e3}) })
	desk, err := NewDesk()
	if err != nil {
		t.Fatal(err)
	}
	saved, err := cut.Saved()
	if err != nil {
		t.Fatal(err)
	}
	recovered, err := desk.Recover(context.Background(), Unsaved{Saved: saved, Path: again.Path}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, n := range map[string]*Document{"cut": cut, "recovered": recovered} {
		if len(n.Survey.Ways) != len(d.Survey.Ways) || len(n.Survey.Legs) != len(d.Survey.Legs)+1 {
			t.Errorf("%s: %d ways and %d legs, want %d and %d", name, len(n.Survey.Ways), len(n.Survey.Legs), len(d.Survey.Ways), len(d.Survey.Legs)+1)
		}
	}
}
