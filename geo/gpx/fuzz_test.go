package gpx

import (
	"bytes"
	"context"
	"errors"
	"math"
	"testing"

	"lastroad/geo"
	"lastroad/geo/garble"
)

// FuzzRead reads anything: no panic, and either an error of ours or a route that keeps its promises and
// survives being written and read again.
func FuzzRead(f *testing.F) {
	f.Add([]byte(sampleText))
	f.Add([]byte(days + "</gpx>"))
	f.Add([]byte(track(spiked(30, "40.5 10.2")...)))
	f.Add([]byte(`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"name":"L"},"geometry":{"type":"MultiLineString","coordinates":[[[1,2,3],[3,4]],[]]}}]}`))
	f.Add([]byte(`<?xml version="1.0" encoding="ISO-8859-1"?><gpx version="1.0"><rte><rtept lat="1" lon="2"><time>2020-01-01T00:00:00Z</time></rtept><rtept lat="1" lon="-180"/></rte></gpx>`))
	f.Add([]byte("\xff\xfe<\x00g\x00p\x00x\x00/\x00>\x00"))
	for _, name := range []string{"gpx1.0_with_all_fields.gpx", "gpx1.1_with_all_fields.gpx", "gpx1.1_with_extensions.gpx"} {
		f.Add(carried(f, name))
	}
	for _, b := range garble.Copies(300, true, []byte(sampleText), []byte(days+"</gpx>"), carried(f, "gpx1.1_with_all_fields.gpx")) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, choose := range []int{0, 1, All} {
			opts := Options{Choose: choose, MaxBytes: 1 << 20, MaxPoints: 1000}
			r, err := Read(context.Background(), bytes.NewReader(data), "f", opts)
			if err != nil {
				var in *geo.InputError
				if !errors.As(err, &in) {
					t.Fatalf("error %v is not an InputError", err)
				}
				continue
			}
			checkRoute(t, r)
			var b bytes.Buffer
			if err := Write(&b, FromRoute(r)); err != nil {
				t.Fatal(err)
			}
			if err := checkSchema(b.Bytes()); err != nil {
				t.Fatalf("written again it is not valid: %v", err)
			}
			again, err := Read(context.Background(), &b, "again", Options{})
			if err != nil {
				// Points closer than the decimals written may fall together.
				if geo.Length(r.Line) > 1 {
					t.Fatalf("written again it is refused: %v", err)
				}
				continue
			}
			checkRoute(t, again)
		}
	})
}

func checkRoute(t *testing.T, r geo.Route) {
	t.Helper()
	if len(r.Line) < 2 || len(r.HeightM) != 0 && len(r.HeightM) != len(r.Line) || len(r.Time) != 0 && len(r.Time) != len(r.Line) {
		t.Fatalf("%d points, %d heights, %d times", len(r.Line), len(r.HeightM), len(r.Time))
	}
	for i, p := range r.Line {
		if !(p[0] >= -180 && p[0] < 180 && math.Abs(p[1]) <= geo.MaxLat) {
			t.Fatalf("point %d lies at %v", i, p)
		}
		if i > 0 && p == r.Line[i-1] {
			t.Fatalf("points %d and %d are alike", i-1, i)
		}
	}
}
