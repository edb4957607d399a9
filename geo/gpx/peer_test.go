package gpx

import (
	"bytes"
	"context"
	"math"
	"testing"

	gpxgo "github.com/tkrajina/gpxgo/gpx"
)

// TestSameAsGpxgo compares every point of the document that the benchmark reads, height and time with it, with what
// the other reader gives.
func TestSameAsGpxgo(t *testing.T) {
	data := big(1 << 20)
	want, err := gpxgo.ParseBytes(data)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Read(context.Background(), bytes.NewReader(data), "a.gpx", Options{})
	if err != nil {
		t.Fatal(err)
	}
	pts := want.Tracks[0].Segments[0].Points
	if len(r.Line) != len(pts) || len(pts) < 5000 || len(r.HeightM) != len(pts) || len(r.Time) != len(pts) {
		t.Fatalf("%d points with %d heights and %d times, gpxgo has %d", len(r.Line), len(r.HeightM), len(r.Time), len(pts))
	}
	for i, p := range pts {
		if r.Line[i][0] != p.Longitude || r.Line[i][1] != p.Latitude || math.Abs(r.HeightM[i]-p.Elevation.Value()) > 0 || !r.Time[i].Equal(p.Timestamp) {
			t.Fatalf("point %d is %v, %v m, %v; gpxgo has %v, %v, %v m, %v", i, r.Line[i], r.HeightM[i], r.Time[i], p.Longitude, p.Latitude, p.Elevation.Value(), p.Timestamp)
		}
	}
}
