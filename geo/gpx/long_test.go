package gpx

import (
	"bytes"
	"context"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Routes at the edges of what is asked: long, dense, over the antimeridian, of two points.
func TestRoutesAtTheEdges(t *testing.T) {
	// Lengths from GeodSolve of Debian's geographiclib-tools.
	for _, c := range []struct {
		name   string
		points []string
		metres float64
	}{
		{"two points 10 m apart", []string{"31.5 35.5", "31.50009 35.5"}, 9.979029},
		{"5 000 km in one step", []string{"60 10", "60 110"}, 5026644.058678},
		{"over the antimeridian", []string{"-16.5 179.995", "-16.51 -179.98"}, 2889.359866},
		{"180 and -180 are one meridian", []string{"0 180", "0.05 -179.95"}, 7845.173109},
		{"in the south-west", []string{"-28.75 -71.1", "-28.7 -71.05"}, 7387.152839},
		{"just below 85 degrees", []string{"84.9 100", "84.95 101"}, 11348.856408},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := read1(t, track(c.points...), Options{})
			s := geo.Resample(r, 1000)
			if got := s[len(s)-1].DistanceM; math.Abs(got-c.metres) > math.Max(2e-4, 2e-8*c.metres) {
				t.Errorf("the samples end at %.6f m, want %.6f", got, c.metres)
			}
		})
	}
}

func TestAMillionPoints(t *testing.T) {
	if testing.Short() {
		t.Skip("reading a million points takes seconds")
	}
	const n = 1_000_000
	var b bytes.Buffer
	b.WriteString(head + "<trk><trkseg>\n")
	var num []byte
	for i := range n {
		b.WriteString(`<trkpt lat="`)
		num = strconv.AppendFloat(num[:0], 40+5*math.Sin(float64(i)/90000), 'f', 6, 64)
		b.Write(num)
		b.WriteString(`" lon="`)
		num = strconv.AppendFloat(num[:0], 10+float64(i)*1e-5, 'f', 5, 64)
		b.Write(num)
		b.WriteString("\"/>\n")
	}
	b.WriteString("</trkseg></trk></gpx>")
	r, err := Read(context.Background(), &b, "long.gpx", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Line) != n || len(r.Notes) != 0 || r.Line[n-1] != (orb.Point{geo.WrapLon(19.99999), r.Line[n-1][1]}) {
		t.Errorf("%d points, notes %q, ending at %v; want %d and none", len(r.Line), r.Notes, r.Line[len(r.Line)-1], n)
	}
}

// A chain of day tracks of 5 000 km with a point every kilometre or so, read as one drive.
func TestFiveThousandKilometresInDays(t *testing.T) {
	var b strings.Builder
	b.WriteString(head)
	at := orb.Point{20, -20}
	want := 0.0
	for range 10 {
		b.WriteString("<trk><trkseg>")
		for range 500 {
			b.WriteString(`<trkpt lat="` + strconv.FormatFloat(at[1], 'f', -1, 64) + `" lon="` + strconv.FormatFloat(at[0], 'f', -1, 64) + `"/>`)
			at = geo.Destination(at, 10+20*math.Sin(want/3e5), 1000)
			want += 1000
		}
		b.WriteString("</trkseg></trk>\n")
	}
	b.WriteString("</gpx>")
	r := read1(t, b.String(), Options{})
	want -= 1000 // the last point of each day is 1 000 m short of the next day's first, the last day has no next
	if got := geo.Length(r.Line); len(r.Line) != 5000 || math.Abs(got-want) > 1e-6*want {
		t.Errorf("%d points, %.1f m, want 5000 and %.1f", len(r.Line), got, want)
	}
	if notes := strings.Join(r.Notes, " "); !strings.Contains(notes, "10 lines") || !strings.Contains(notes, "9 gaps") {
		t.Errorf("notes are %q, want the ten lines and nine gaps said", r.Notes)
	}
}
