package trip

import (
	"bytes"
	"context"
	"math"
	"strings"
	"sync"
	"testing"

	"lastroad/geo"
	"lastroad/risk"
)

// demo is the built-in trip, opened once.
func demo(t *testing.T) *Document {
	t.Helper()
	d, err := demoDocument()
	if err != nil {
		t.Fatal(err)
	}
	return d
}

var demoDocument = sync.OnceValues(func() (*Document, error) { return Demo(context.Background(), Request{Quick: true}, nil) })

// ownShovel serves as the catalogue's shovel; a sack of tiles is of no use to any remedy.
var (
	ownShovel = OwnItem{Key: "own_spade", Title: "army spade", StandsFor: "shovel", MassKg: 2.4}
	ownTiles  = OwnItem{Key: "own_tiles", Title: "sack of tiles", MassKg: 55}
)

func TestOwnItemServesInItsPlace(t *testing.T) {
	d := demo(t)
	without := d.Plan.Clone()
	load := without.Trip.Party.Load[:0]
	for _, l := range without.Trip.Party.Load {
		if l.Item != "shovel" {
			load = append(load, l)
		}
	}
	without.Trip.Party.Load = load
	a := judged(t, d, without)
	with := without.Clone()
	with.Own = []OwnItem{ownShovel}
	with.Trip.Party.Load = append(with.Trip.Party.Load, risk.LoadItem{Item: "own_spade", Count: 1})
	b := judged(t, d, with)
	if !(b.Trip.Readiness > a.Trip.Readiness+0.01) {
		t.Errorf("an own item that stands for a shovel wins nothing: %.3f without, %.3f with", a.Trip.Readiness, b.Trip.Readiness)
	}
	plain := without.Clone()
	plain.Trip.Party.Load = append(plain.Trip.Party.Load, risk.LoadItem{Item: "shovel", Count: 1, MassKg: 2.4, Place: "rear"})
	if c := judged(t, d, plain); math.Abs(c.Trip.Readiness-b.Trip.Readiness) > 1e-12 || math.Abs(c.Load.TotalKg-b.Load.TotalKg) > 1e-9 {
		t.Errorf("an own spade gives %.6f and %.3f kg, a catalogue shovel of its mass %.6f and %.3f kg", b.Trip.Readiness, b.Load.TotalKg, c.Trip.Readiness, c.Load.TotalKg)
	}
}

func TestOwnItemWithoutPurposeWeighs(t *testing.T) {
	d := demo(t)
	with := d.Plan.Clone()
	with.Own = []OwnItem{ownTiles}
	with.Trip.Party.Load = append(with.Trip.Party.Load, risk.LoadItem{Item: "own_tiles", Count: 2})
	a, b := judged(t, d, d.Plan), judged(t, d, with)
	if dm := b.Load.TotalKg - a.Load.TotalKg; math.Abs(dm-110) > 1e-6 {
		t.Errorf("two sacks of 55 kg add %.3f kg", dm)
	}
	if b.Trip.Readiness < a.Trip.Readiness-1e-9 {
		t.Errorf("carrying more lowers readiness from %.6f to %.6f", a.Trip.Readiness, b.Trip.Readiness)
	}
}

// A breaking strength is divided by the design factor of the kind: 6 for carbon shackles (EN 13889).
func TestOwnRatings(t *testing.T) {
	p := Plan{Own: []OwnItem{{Key: "own_s", Title: "old shackle", StandsFor: "shackle", MassKg: 1.1, MBSKN: 120}}}
	l := p.Judged(risk.Trip{Party: risk.Party{Load: []risk.LoadItem{{Item: "own_s", Count: 2}}}}).Party.Load[0]
	if l.Item != "shackle" || math.Abs(l.RatingKN-20) > 1e-9 {
		t.Errorf("120 kN breaking strength gives %q with %g kN, want shackle with 20", l.Item, l.RatingKN)
	}
	p.Own[0].MBSKN = 0
	if l := p.Judged(risk.Trip{Party: risk.Party{Load: []risk.LoadItem{{Item: "own_s", Count: 2}}}}).Party.Load[0]; l.RatingKN >= 0 {
		t.Errorf("a piece of one's own without a rating is lent %g kN", l.RatingKN)
	}
}

func TestOwnItemsAreRefused(t *testing.T) {
	for _, c := range []struct {
		what string
		item OwnItem
		want string
	}{
		{"no name", OwnItem{Key: "own_x", MassKg: 1}, "no name"},
		{"too heavy", OwnItem{Key: "own_x", Title: "anvil", MassKg: 900}, "outside 0.001 to 500"},
		{"no mass", OwnItem{Key: "own_x", Title: "anvil"}, "outside 0.001 to 500"},
		{"place", OwnItem{Key: "own_x", Title: "anvil", MassKg: 1, Place: "moon"}, "not one of floor"},
		{"stands for nothing", OwnItem{Key: "own_x", Title: "anvil", MassKg: 1, StandsFor: "anchor_of_gold"}, "not in the catalogue"},
		{"wrong way round", OwnItem{Key: "own_x", Title: "strop", MassKg: 1, StandsFor: "tree_strap", WLLKN: 80, MBSKN: 40}, "above its breaking strength"},
		{"key of the catalogue's", OwnItem{Key: "shovel", Title: "spade", MassKg: 1}, "does not begin with"},
	} {
		p := Plan{Own: []OwnItem{c.item}}
		if err := p.checkOwn(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want something about %q", c.what, err, c.want)
		}
	}
}

func TestOwnKey(t *testing.T) {
	have := []OwnItem{{Key: "own_spade"}}
	for title, want := range map[string]string{"Army spade": "own_army_spade", "Spade": "own_spade_2", "Лопата": "own_2"} {
		if got := OwnKey(title, have); got != want {
			t.Errorf("%s gets the key %s, want %s", title, got, want)
		}
	}
}

func TestOwnThingsTravelWithTheTrip(t *testing.T) {
	d := demo(t)
	p := d.Plan.Clone()
	p.Own = []OwnItem{ownShovel, ownTiles}
	p.Figures = []OwnFigure{{Key: "item/shovel/mass_kg", Low: 1.5, Central: 2, High: 2.5}}
	p.Log = []LogLine{{Hazard: "tyre", Ground: geo.Gravel, Amount: 4000, Events: 1}}
	p.KeepVariant("as now")
	p.KeepVariant("as now")
	if p.Compare.Variants[1].Name != "as now 2" {
		t.Errorf("a second variant of the same name is called %q", p.Compare.Variants[1].Name)
	}
	data, err := EncodePlan(p)
	if err != nil {
		t.Fatal(err)
	}
	q, err := DecodePlan(data, "trip.toml")
	if err != nil {
		t.Fatal(err)
	}
	again, err := EncodePlan(q)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(data, again) {
		t.Error("a plan with own items, log and variants does not come back as it was")
	}
	q.Own[0].Title, q.Compare.Variants[0].Trip.Party.Load[0].Count = "changed", 99
	c := p.Clone()
	c.Own[0].Title, c.Compare.Variants[0].Trip.Party.Load[0].Count = "changed", 99
	if p.Own[0].Title == "changed" || p.Compare.Variants[0].Trip.Party.Load[0].Count == 99 {
		t.Error("a clone shares own items or variants")
	}
}

func TestLogChangesTheRates(t *testing.T) {
	d := demo(t)
	quiet := d.Plan.Clone()
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		quiet.Log = append(quiet.Log, LogLine{Hazard: "tyre", Ground: g, Amount: 100000})
	}
	a, b := judged(t, d, d.Plan), judged(t, d, quiet)
	if !(b.Trip.Stopped.P < a.Trip.Stopped.P) {
		t.Errorf("100 000 km on every ground without a cut tyre leave the chance of being stopped at %.4f (%.4f before)", b.Trip.Stopped.P, a.Trip.Stopped.P)
	}
}

func TestVariantFromAnotherTrip(t *testing.T) {
	a := Plan{Own: []OwnItem{{Key: "own_spade", Title: "spade", MassKg: 1}}}
	b := Plan{Trip: risk.Trip{Name: "winter", Party: risk.Party{Load: []risk.LoadItem{{Item: "own_spade", Count: 1}}}}, Own: []OwnItem{{Key: "own_spade", Title: "spade", MassKg: 3}}}
	v, err := a.TakeVariant(b, "")
	if err != nil {
		t.Fatal(err)
	}
	if v.Name != "winter" || v.Trip.Party.Load[0].Item != "own_spade_2" || len(a.Own) != 2 {
		t.Errorf("variant %q carries %q, own items %v", v.Name, v.Trip.Party.Load[0].Item, a.Own)
	}
}

func TestColumns(t *testing.T) {
	p := Plan{Trip: risk.Trip{Partner: &risk.Party{}}}
	for range 5 {
		p.KeepVariant("v")
	}
	if n := len(p.Columns("alone", "together")); n != risk.MostVariants {
		t.Errorf("%d columns, want %d", n, risk.MostVariants)
	}
	if n := p.Compared(); n != 7 {
		t.Errorf("%d are switched on, want 7", n)
	}
}

func judged(t *testing.T, d *Document, p Plan) *risk.Judgement {
	t.Helper()
	cat, err := p.Catalogue(catalogueOf(t))
	if err != nil {
		t.Fatal(err)
	}
	j, err := risk.Judge(context.Background(), d.Survey, p.Judged(p.Trip), cat, risk.Options{Quick: true})
	if err != nil {
		t.Fatal(err)
	}
	return j
}
