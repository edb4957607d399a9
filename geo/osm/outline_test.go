package osm

import (
	"strings"
	"testing"

	"github.com/paulmach/orb"
)

func hullOf(pts ...[2]float64) *hullRows {
	h := &hullRows{}
	for _, p := range pts {
		h.add(e7{int32(p[0] * 1e7), int32(p[1] * 1e7)})
	}
	return h
}

func TestCoversAcrossMeridians(t *testing.T) {
	for _, row := range []struct {
		name    string
		hull    *hullRows
		in, out []orb.Point
	}{
		{"east", hullOf([2]float64{10, 10}, [2]float64{12, 10}, [2]float64{12, 12}, [2]float64{10, 12}),
			[]orb.Point{{11, 11}, {10.005, 11}, {9.995, 11}, {12, 12}}, []orb.Point{{9.9, 11}, {11, 12.1}, {-11, 11}}},
		{"across Greenwich", hullOf([2]float64{-1, 50}, [2]float64{1, 50}, [2]float64{1, 52}, [2]float64{-1, 52}),
			[]orb.Point{{0, 51}, {-0.9, 51}, {0.9, 51}}, []orb.Point{{-1.1, 51}, {1.1, 51}, {180, 51}}},
		{"across the antimeridian", hullOf([2]float64{179, -18}, [2]float64{179, -16}, [2]float64{-179.5, -18}, [2]float64{-179.5, -16}),
			[]orb.Point{{179.5, -17}, {180, -17}, {-180, -17}, {-179.7, -17}}, []orb.Point{{178.9, -17}, {-179.4, -17}, {0, -17}}},
		{"a continent", hullOf([2]float64{-30, 35}, [2]float64{70, 35}, [2]float64{70, 72}, [2]float64{-30, 72}),
			[]orb.Point{{0, 36}, {69, 71}, {-29, 50}, {69.9, 35.1}}, []orb.Point{{-31, 50}, {71, 50}, {20, 34}}},
		{"the globe", hullOf([2]float64{-180, -80}, [2]float64{180, -80}, [2]float64{180, 80}, [2]float64{-180, 80}, [2]float64{0, 0}, [2]float64{-1, 0}),
			[]orb.Point{{0, 0}, {179, 70}, {-179, -70}}, []orb.Point{{0, 84}}},
	} {
		r := Region{Outline: row.hull.rings()}
		for _, p := range row.in {
			if !r.Covers(p) {
				t.Errorf("%s: %v is said to lie outside", row.name, p)
			}
		}
		for _, p := range row.out {
			if r.Covers(p) {
				t.Errorf("%s: %v is said to lie inside", row.name, p)
			}
		}
	}
}

// TestDeclaredBoxBounds: an extract that keeps its ways whole has nodes far beyond the box that was cut out; the data
// reach no farther than the box.
func TestDeclaredBoxBounds(t *testing.T) {
	const ways = `<node id="1" lat="45" lon="7"/><node id="2" lat="45.5" lon="8"/><node id="3" lat="46" lon="7"/><node id="4" lat="45.05" lon="7.2"/>
<way id="1"><nd ref="1"/><nd ref="2"/><nd ref="3"/><nd ref="4"/><tag k="highway" v="track"/></way></osm>`
	inBox, beyond := orb.Point{7.1, 45.1}, orb.Point{7.6, 45.5}
	for _, row := range []struct {
		name, bounds    string
		inBox, beyondIs bool
	}{
		{"no box", ``, true, true},
		{"a box", `<bounds minlat="44.9" minlon="6.9" maxlat="45.2" maxlon="7.3"/>`, true, false},
		{"two boxes, fetched one after the other", `<bounds minlat="44.9" minlon="6.9" maxlat="45.2" maxlon="7.3"/><bounds minlat="45.2" minlon="7.3" maxlat="45.6" maxlon="7.7"/>`, true, true},
		{"a box somewhere else", `<bounds minlat="10" minlon="10" maxlat="11" maxlon="11"/>`, true, true},
	} {
		text := `<osm version="0.6">` + row.bounds + ways
		r := mustRead(t, Source{Name: "cut.osm", R: strings.NewReader(text), Size: int64(len(text))}, Corridor{}, Options{})
		if r.Covers(inBox) != row.inBox || r.Covers(beyond) != row.beyondIs {
			t.Errorf("%s: covers are %v and %v, want %v and %v", row.name, r.Covers(inBox), r.Covers(beyond), row.inBox, row.beyondIs)
		}
	}
}
