package gpx

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"lastroad/geo"
)

// However a document is cut into parts, even after every point, it reads the same as in one piece.
func TestPartsReadAsOne(t *testing.T) {
	mixed := `<?xml version="1.0" encoding="ISO-8859-1"?>
<g:gpx xmlns:g="http://www.topografix.com/GPX/1/1" version="1.1"
 creator="x">
<g:metadata><g:name>C\xf4te</g:name></g:metadata>
<g:wpt lat="1" lon="1"><g:name>\xe0</g:name></g:wpt><g:wpt lat="1" lon="2"/>
<g:rte><g:name>plan</g:name><g:rtept lat="1" lon="1"/><g:rtept lat="2" lon="1"></g:rtept></g:rte><g:rte><g:rtept lat="1" lon="1"/></g:rte>
<g:trk><g:name>one</g:name><g:trkseg><g:trkpt lat="1" lon="1"/><g:trkpt lat="1" lon="2"/></g:trkseg><g:trkseg></g:trkseg><g:trkseg><g:trkpt lat="1" lon="3"/></g:trkseg></g:trk>
<g:trk></g:trk><g:trk><g:trkseg><g:trkpt lat="1" lon="4"><g:ele>5</g:ele></g:trkpt></g:trkseg></g:trk>
</g:gpx><!-- end -->`
	docs := map[string][]byte{"mixed": []byte(mixed), "sample": []byte(sampleText), "days": []byte(days + "</gpx>")}
	for _, name := range []string{"korita-zbevnica.gpx", "cerknicko-without-times.gpx", "visnjan.gpx", "gpx1.0_with_all_fields.gpx", "gpx1.1_with_all_fields.gpx", "iso8859-1encoded.gpx"} {
		docs[name] = carried(t, name)
	}
	for name, doc := range docs {
		t.Run(name, func(t *testing.T) {
			read := func(apart int) *file {
				f, err := readParts(context.Background(), doc, name, Options{MaxPoints: maxPoints, Progress: func(float64) {}}, apart)
				if err != nil {
					t.Fatalf("in parts of %d bytes: %v", apart, err)
				}
				return f
			}
			whole := read(1 << 30)
			for _, apart := range []int{1, 100, 3000} {
				if diff := cmp.Diff(whole, read(apart), cmp.AllowUnexported(file{}, line{}, vertex{}), cmpopts.EquateNaNs(), cmpopts.EquateEmpty()); diff != "" {
					t.Errorf("in parts of %d bytes it differs (- whole, + parts):\n%s", apart, diff)
				}
			}
		})
	}
}

// An error that only the XML reader finds names the line of the file, in whichever part it lies.
func TestErrorsInPartsNameTheLine(t *testing.T) {
	var b strings.Builder
	b.WriteString(head + "<trk><trkseg>\n")
	for i := range 200 {
		name := "a"
		if i == 150 {
			name = "&who;"
		}
		fmt.Fprintf(&b, "<trkpt lat=\"%d\" lon=\"1\"><name>%s</name></trkpt>\n", i%80, name)
	}
	b.WriteString("</trkseg></trk></gpx>")
	for _, apart := range []int{1, 500, 1 << 30} {
		_, err := readParts(context.Background(), []byte(b.String()), "a.gpx", Options{MaxPoints: maxPoints, Progress: func(float64) {}}, apart)
		var in *geo.InputError
		// Three lines stand before the first point.
		if !errors.As(err, &in) || in.Where != "line 154" {
			t.Errorf("in parts of %d bytes the error is %v, want line 154", apart, err)
		}
	}
}

func TestProgressAndCancelBetweenParts(t *testing.T) {
	data := big(6 << 20)
	last := 0.0
	opts := Options{Progress: func(p float64) {
		if p < 0 || p > 1 {
			t.Errorf("progress %v", p)
		}
		last = p
	}}
	if _, err := Read(context.Background(), bytes.NewReader(data), "a.gpx", opts); err != nil || last != 1 {
		t.Errorf("progress ends at %v, error %v", last, err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	opts.Progress = func(float64) { cancel() }
	if _, err := Read(ctx, bytes.NewReader(data), "a.gpx", opts); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled after a part Read gives %v", err)
	}
}
