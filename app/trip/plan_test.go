package trip

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/garble"
)

func TestDemoPlanReadsAndRoundTrips(t *testing.T) {
	p, err := DecodePlan(assets.Demo("trip.toml"), "trip.toml")
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Trip.Party.People) != 4 || p.Trip.Partner == nil || len(p.Stops) != 2 {
		t.Fatalf("the demo has %d people, partner %v, %d stops; want 4, one, 2", len(p.Trip.Party.People), p.Trip.Partner != nil, len(p.Stops))
	}
	a, err := EncodePlan(p)
	if err != nil {
		t.Fatal(err)
	}
	q, err := DecodePlan(a, "again")
	if err != nil {
		t.Fatalf("what was written does not read: %v\n%s", err, a)
	}
	b, err := EncodePlan(q)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a, b) {
		t.Errorf("writing, reading and writing a plan changed it:\n%s\n---\n%s", a, b)
	}
}

func TestBadPlansAreRefusedWithPlaceAndReason(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"no schema", "route_name='x'", "schema"},
		{"newer", "schema = 99", "newer version"},
		{"unknown key", "schema = 1\n\n[trip]\nnme = 'x'\n", "line 4"},
		{"wrong type", "schema = 1\ncorridor_m = 'far'\n", "line 2"},
		{"not toml", "schema = 1\n[[[", "line 2"},
		{"negative corridor", "schema = 1\ncorridor_m = -5.0", "corridor_m -5"},
		{"NaN stop", "schema = 1\n[[stops]]\nname='a'\nat_m = nan\n", "at_m NaN"},
		{"unknown edit", "schema = 1\n[[legs]]\ndo = 'explode'\nfrom_m = 1.0\n", "explode"},
		{"unknown ground", "schema = 1\n[[grounds]]\nfrom_m = 0.0\nto_m = 9.0\nground = 'lava'\n", "lava"},
		{"a flood of stops", "schema = 1\n" + strings.Repeat("[[stops]]\n", mostEdits+1), "at most 5000"},
		{"a flood of people", "schema = 1\n[trip.party]\npeople = [" + strings.Repeat("{},", mostPeople+1) + "]\n", "people of one vehicle: 101"},
		{"a flood of load in a variant", "schema = 1\n[[compare.variants]]\nname = 'a'\n[compare.variants.trip.partner]\nload = [" + strings.Repeat("{},", mostLoad+1) + "]\n", "at most 2000"},
		{"a flood of keys", "schema = 1\n" + strings.Repeat("k = 1\n", mostValues+1), "at most 20000"},
		{"lists in lists", "schema = 1\na = " + strings.Repeat("[", 1<<19), "nested"},
		{"a key without end", "schema = 1\na" + strings.Repeat(".a", 1<<18) + " = 1", "not known"},
		{"ground backwards", "schema = 1\n[[grounds]]\nfrom_m = 10.0\nto_m = 9.0\nground = 'sand'\n", "to_m 9"},
	} {
		_, err := DecodePlan([]byte(c.text), "p.trip")
		var bad *geo.InputError
		if err == nil || !errors.As(err, &bad) {
			t.Errorf("%s: error %v, want an input error", c.name, err)
			continue
		}
		if !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "p.trip") || len(err.Error()) > 1000 {
			t.Errorf("%s: error %q, want the file's name and %q in it", c.name, err, c.want)
		}
	}
}

func TestCloneSharesNothing(t *testing.T) {
	p, err := DecodePlan(assets.Demo("trip.toml"), "trip.toml")
	if err != nil {
		t.Fatal(err)
	}
	before, _ := EncodePlan(p)
	q := p.Clone()
	q.Trip.Party.Load[0].Count = 77
	q.Trip.Party.People[0].Skills[0] = "juggling"
	q.Trip.Partner.Load[0].Count = 78
	q.Stops[0].Name = "elsewhere"
	after, _ := EncodePlan(p)
	if !bytes.Equal(before, after) {
		t.Error("changing a clone changed the plan it came from")
	}
}

func FuzzDecodePlan(f *testing.F) {
	f.Add(assets.Demo("trip.toml"))
	f.Add([]byte("schema = 1\n[[stops]]\nat_m = 1e300"))
	for _, b := range garble.Copies(200, true, assets.Demo("trip.toml")) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		garble.Bounded(t, len(data), func() {
			p, err := DecodePlan(data, "f")
			if err != nil {
				garble.Refused(t, err, "f")
				return
			}
			out, err := EncodePlan(p)
			if err != nil {
				t.Fatalf("a plan that was read cannot be written: %v", err)
			}
			q, err := DecodePlan(out, "g")
			if err != nil {
				t.Fatalf("a plan that was written cannot be read: %v\n%s", err, out)
			}
			if again, err := EncodePlan(q); err != nil || !bytes.Equal(out, again) {
				t.Fatalf("a plan differs after writing and reading (%v):\n%s\n---\n%s", err, out, again)
			}
		})
	})
}
