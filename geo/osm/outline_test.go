package osm

import (
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
