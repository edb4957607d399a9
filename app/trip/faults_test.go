package trip

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lastroad/geo"
)

// What is wrong inside a saved trip is told with the trip's name, not only with that of the route it came from.
func TestFaultsInASavedTripNameIt(t *testing.T) {
	dir := t.TempDir()
	for name, s := range map[string]Saved{
		"route.trip": {Plan: Plan{RouteName: "drive.gpx"}, Route: []byte("<gpx><trk>")},
		"age.trip": func() Saved {
			s := demoSaved(t)
			s.Plan.Trip.Party.People[0].AgeY, s.Plan.Trip.Party.People[0].Name = -1, ""
			return s
		}(),
	} {
		path := filepath.Join(dir, name)
		var b bytes.Buffer
		if err := s.Encode(&b); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := Open(context.Background(), Request{Files: []string{path}, Quick: true}, nil)
		var bad *geo.InputError
		if !errors.As(err, &bad) || !strings.HasPrefix(err.Error(), name+": ") {
			t.Errorf("%s: error %v, want one that begins with its name", name, err)
		}
		if name == "age.trip" && !strings.Contains(err.Error(), "person 1") {
			t.Errorf("%s: error %v, want the person by number", name, err)
		}
	}
}
