package risk

import (
	std "cmp"
	"context"
	"fmt"
	"math"
	"reflect"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/recovery"
)

// What a memo keeps, and memory that is used again, change no answer: a trip judged after many edits with one memo,
// by several readers at once, is the same as judged afresh, and answers given before stay as they were.
func TestAMemoChangesNothing(t *testing.T) {
	s := made(stretch{8, pure(geo.Sand), 0.05, 20}, stretch{8, unknownMix(), -0.04, 30}, stretch{6, pure(geo.Mud), 0.14, 10})
	s.Marks = append(s.Marks, geo.Mark{Kind: geo.MarkFord, DistanceM: 9000})
	edits := []func(*Trip){
		func(*Trip) {},
		func(t *Trip) { t.Party.Load[0].Count++ },
		func(t *Trip) { t.Party.Load = append(t.Party.Load, load("winch", 1, "tree_strap", 1, "block", 1)...) },
		func(t *Trip) {
			t.Party.Load = slices.DeleteFunc(t.Party.Load, func(l LoadItem) bool { return l.Item == "shovel" })
		},
		func(t *Trip) { t.Party.People = t.Party.People[:2] },
		func(t *Trip) { t.Conditions.Wetness, t.Policy.Spacing = 1, true },
		func(t *Trip) { t.Party.Load = append(t.Party.Load, load("water", 20, "beacon", 1)...) },
		func(t *Trip) { t.Conditions.Start = t.Conditions.Start.AddDate(0, 3, 0) },
	}
	judged := func(i int, m *Memo) *Judgement {
		tr := usualTrip()
		tr.Together = i%2 == 1
		tr.Party.Load, tr.Party.People = slices.Clone(tr.Party.Load), slices.Clone(tr.Party.People)
		edits[i/2](&tr)
		j, err := Judge(context.Background(), s, tr, cat(t), Options{Quick: i%3 > 0, Memo: m})
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	n := 2 * len(edits)
	want := make([]*Judgement, n)
	for i := range want {
		want[i] = judged(i, nil)
	}
	m := &Memo{}
	var wg sync.WaitGroup
	for k := range 3 {
		wg.Go(func() {
			for i := range n {
				i = (i + 5*k) % n
				if d := differs(want[i], judged(i, m)); d != "" {
					t.Errorf("edit %d judged with what is kept differs: %s", i, d)
				}
			}
		})
	}
	wg.Wait()
	if d := differs(want[0], judged(0, nil)); d != "" {
		t.Errorf("an answer has changed after it was given: %s", d)
	}
}

// A memo that knows one trip answers for every other that differs in a single figure, of vehicle, crew, load, second vehicle,
// conditions or policy, as a fresh one does: nothing is kept under a key that leaves out what it hangs on.
func TestAMemoMindsEveryFigure(t *testing.T) {
	s := made(stretch{6, pure(geo.Sand), 0.05, 20}, stretch{6, unknownMix(), -0.04, 30}, stretch{5, pure(geo.Mud), 0.14, 10})
	s.Marks = append(s.Marks, geo.Mark{Kind: geo.MarkFord, DistanceM: 9000})
	base := func() *Trip {
		tr := usualTrip()
		tr.Party.Load = append(tr.Party.Load, load("winch", 1, "tree_strap", 1, "block", 1)...)
		return &tr
	}
	judged := func(tr *Trip, m *Memo) (*Judgement, string) {
		j, err := Judge(context.Background(), s, *tr, cat(t), Options{Quick: true, Memo: m})
		if err != nil {
			return nil, err.Error()
		}
		return j, ""
	}
	m := &Memo{}
	for _, together := range []bool{false, true} {
		tr := base()
		tr.Together = together
		judged(tr, m)
	}
	n := countLeaves(reflect.ValueOf(base()).Elem())
	if n < 200 {
		t.Fatalf("a trip has %d figures to change, want more", n)
	}
	for i := range n {
		tr := base()
		tr.Together = i%2 == 0
		k, place := i, ""
		changeLeaf(reflect.ValueOf(tr).Elem(), &k, &place)
		want, wrong := judged(tr, nil)
		got, gotWrong := judged(tr, m)
		if wrong != gotWrong {
			t.Errorf("%s changed: %q with what is kept, %q afresh", place, gotWrong, wrong)
		}
		if d := differs(want, got); d != "" {
			t.Errorf("%s changed, judged with what is kept differs: %s", place, d)
		}
	}
}

// Figures asked for without words are kept by what kits are worth and not by what is in them; they are the same, to the
// last bit, as those of a study with words and a fresh memo, whatever single figure of the trip is another. Both vehicles
// weigh the same, so that one as the anchor of the other holds by a hair.
func TestWordlessFiguresAreTheSame(t *testing.T) {
	s := made(stretch{6, pure(geo.Sand), 0.05, 20}, stretch{6, unknownMix(), -0.04, 30}, stretch{5, pure(geo.Mud), 0.14, 10}, stretch{4, pure(geo.Gravel), 0.2, 10})
	base := func() *Trip {
		tr := usualTrip()
		tr.Party.Load = append(tr.Party.Load, load("winch", 1, "tree_strap", 1, "block", 1, "hand_winch", 1, "ground_anchor", 1)...)
		return &tr
	}
	ready := func(tr *Trip, o Options) string {
		st, err := begin(context.Background(), s, *tr, cat(t), o)
		if err != nil {
			return err.Error()
		}
		return fmt.Sprintf("%x %x %x", st.res.U, st.res.D, st.res.NoHelp)
	}
	m := &Memo{}
	ready(base(), Options{wordless: true, central: true, Memo: m})
	different := map[string]bool{}
	for i := range countLeaves(reflect.ValueOf(base()).Elem()) {
		tr := base()
		tr.Together = i%2 == 0
		k, place := i, ""
		changeLeaf(reflect.ValueOf(tr).Elem(), &k, &place)
		want, got := ready(tr, Options{central: true}), ready(tr, Options{wordless: true, central: true, Memo: m})
		if want != got {
			t.Errorf("%s changed: without words %s, with them %s", place, got, want)
		}
		different[want] = true
	}
	if len(different) < 50 {
		t.Errorf("only %d different answers: the changes hardly matter", len(different))
	}
}

// Kits with the same key winch equally hard wherever the route may ask for it, down to the last bit, also a light vehicle
// on firm ground, where only the plan of the kit tells whether it holds.
func TestKitsOfOneKeyWinchAlike(t *testing.T) {
	s := made(stretch{6, pure(geo.Sand), 0.05, 20}, stretch{6, unknownMix(), -0.04, 30}, stretch{5, pure(geo.Mud), 0.14, 10})
	for _, massKg := range []float64{0, 400} {
		tr := usualTrip()
		tr.Together, tr.Party.Vehicle.LadenKg = true, massKg
		st, err := begin(context.Background(), s, tr, cat(t), Options{})
		if err != nil {
			t.Fatal(err)
		}
		places := st.bare.stagedPlaces()
		keys, shared := map[string]*outfit{}, 0
		for i := range 64 {
			var more []LoadItem
			for k, item := range load("winch", 1, "soft_shackle", 2, "block", 1, "kinetic_strap", 1, "hand_winch", 1, "pickets", 1) {
				if i&(1<<k) != 0 {
					more = append(more, item)
				}
			}
			b := newBundle(st.cat, portions(st.cat, more))
			o := st.equip(&b).both
			for ri := range st.cat.Recipes {
				r := &st.cat.Recipes[ri]
				if r.Method != "winch" && r.Method != "hand_winch" && r.Method != "right" {
					continue
				}
				key := fmt.Sprintf("%d %x", ri, st.sites().winchKey(nil, st.cat, o, r))
				other, ok := keys[key]
				if !ok {
					keys[key] = o
					continue
				}
				if other.gear != o.gear {
					shared++
				}
				for _, p := range places {
					stuck := stuckAt(o, p.stage, p.at)
					a, c := winched(st.cat, other, r, stuck, p.at), winched(st.cat, o, r, stuck, p.at)
					if a.OK != c.OK || a.Margin != c.Margin && !(math.IsNaN(a.Margin) && math.IsNaN(c.Margin)) {
						t.Errorf("%s with %s at %v: margin %g (%t), of a kit with the same key %g (%t)", r.Key, b.key, p, c.Margin, c.OK, a.Margin, a.OK)
					}
				}
			}
		}
		if massKg == 0 && shared < 100 {
			t.Errorf("only %d kits share what another is worth", shared)
		}
	}
}

// Loads that choosing tries come to the same, to the last bit, whatever was tried before.
func TestWeightsDoNotHangOnWhatWasTried(t *testing.T) {
	s := made(stretch{6, pure(geo.Sand), 0.05, 20}, stretch{6, unknownMix(), -0.04, 30}, stretch{5, pure(geo.Mud), 0.14, 10})
	tr := usualTrip()
	tr.Together = true
	begun := func() *study {
		st, err := begin(context.Background(), s, tr, cat(t), Options{})
		if err != nil {
			t.Fatal(err)
		}
		return st
	}
	st := begun()
	var tried []bundle
	for _, items := range [][]LoadItem{load("shackle", 2), load("shackle", 4), load("winch", 1), load("winch", 1, "shackle", 2), load("tyre_plug", 5), load("coolant", 10),
		load("boards", 2), load("kinetic_strap", 1), load("static_strap", 2), load("block", 1, "soft_shackle", 2), load("pickets", 1), load("shovel", 1), load("spare_wheel", 1)} {
		tried = append(tried, newBundle(st.cat, portions(st.cat, items)))
	}
	for e := range st.cat.Events {
		for i := range tried {
			st.weightOf(e, &tried[i])
		}
	}
	for e := range st.cat.Events {
		fresh := begun()
		for i := range tried {
			b := &tried[(i*5+e)%len(tried)]
			want := sum(fresh.weigh(e, b).u)
			if got := st.weightOf(e, b); got != want {
				t.Errorf("%s with %s weighs %x, %x afresh", st.cat.Events[e].Key, b.key, got, want)
			}
		}
	}
}

// A memo that knows a trip by the built-in tables answers for tables with one of the user's own figures as a fresh one
// does: ratings of gear that anchors are made of, chances, minutes, rates and shares of one cause.
func TestAMemoMindsTheTables(t *testing.T) {
	s := made(stretch{6, pure(geo.Sand), 0.05, 20}, stretch{6, unknownMix(), -0.04, 30}, stretch{5, pure(geo.Mud), 0.14, 10})
	tr := usualTrip()
	tr.Party.Load = append(slices.Clone(tr.Party.Load), load("winch", 1, "tree_strap", 1, "block", 1, "ground_anchor", 1, "soft_shackle", 3)...)
	readiness := func(c *catalogue.Catalogue, m *Memo) string {
		j, err := Judge(context.Background(), s, tr, c, Options{Quick: true, Memo: m})
		if err != nil {
			t.Fatal(err)
		}
		out := fmt.Sprint(j.Trip.Readiness)
		for i := range j.Legs {
			p := j.Legs[i].Needs.Pull
			out += fmt.Sprint(" ", j.Legs[i].Score.Readiness, p != nil && p.Rig != "", p != nil && p.Margin > 0, j.Legs[i].Events)
		}
		return out
	}
	m := &Memo{}
	before := readiness(cat(t), m)
	for _, o := range []catalogue.Override{{Key: "item/ground_anchor/rating_kn", Central: 3}, {Key: "item/winch/rating_kn", Central: 20}, {Key: "chance/boards", Central: 0.2},
		{Key: "rate/bogged/sand", Central: 30}, {Key: "beta/bogged/own", Central: 0.5}, {Key: "policy/margin_full", Central: 3}, {Key: "anchor/sand", Central: 0.9}} {
		c, err := cat(t).With([]catalogue.Override{o})
		if err != nil {
			t.Fatal(err)
		}
		want := readiness(c, nil)
		if got := readiness(c, m); got != want {
			t.Errorf("with %s of %g what is kept gives another answer than a fresh start:\n%s\n%s", o.Key, o.Central, got, want)
		}
		if want == before {
			t.Errorf("%s of %g changes nothing: it tries nothing", o.Key, o.Central)
		}
	}
}

// A memo that knows a trip by a clock of fixed offset answers for the clock of a place, which is put on during the trip, as a
// fresh one does, and the other way round: in Berlin summer time begins on 28 March 2027 at 2 h (European directive 2000/84/EC,
// last Sunday of March).
func TestAMemoMindsSummerTime(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Skip("no rules of time zones are at hand: ", err)
	}
	s := madeBy(500, stretch{500, pure(geo.Gravel), 0.02, 40}, stretch{300, pure(geo.FirmTrack), 0, 60})
	judged := func(zone *time.Location, m *Memo) *Judgement {
		tr := usualTrip()
		tr.Conditions.Start = time.Date(2027, 3, 27, 7, 30, 0, 0, zone)
		j, err := Judge(context.Background(), s, tr, cat(t), Options{Quick: true, Memo: m})
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	fixed := time.FixedZone("", 3600)
	if alike(reflect.ValueOf(judged(berlin, nil)), reflect.ValueOf(judged(fixed, nil))) {
		t.Fatal("the clock is not put on during the trip: it tries nothing")
	}
	for _, zones := range [][]*time.Location{{fixed, berlin}, {berlin, fixed}, {time.FixedZone("Europe/Berlin", 3600), berlin}} {
		m := &Memo{}
		judged(zones[0], m)
		if d := differs(judged(zones[1], nil), judged(zones[1], m)); d != "" {
			t.Errorf("judged with what is kept of %s, it differs for %s: %s", zones[0], zones[1], d)
		}
	}
}

// However often the mass of the vehicle changes, what a memo keeps of plans stays bounded.
func TestAMemoStaysBounded(t *testing.T) {
	m := &Memo{}
	for i := range 2*keptPlans + 4 {
		p := m.kit(cat(t).Recovery, "a kit")
		m.keep(p, planKey{stuck: recovery.Stuck{MassKg: float64(i)}}, strength{})
		if n := len(m.plans["a kit"].done); n > keptPlans+1 {
			t.Fatalf("%d plans are kept after %d masses, want %d at most", n, i+1, keptPlans+1)
		}
	}
	if n := len(m.plans["a kit"].done); n == 0 || n > 2 {
		t.Errorf("%d plans are kept after the second time of forgetting, want 1 or 2", n)
	}
}

// differs says what of two judgements is not the same, "" when all is. Telling takes long, so it is asked for only where
// alike finds something.
func differs(a, b *Judgement) string {
	if alike(reflect.ValueOf(a), reflect.ValueOf(b)) {
		return ""
	}
	return std.Or(cmp.Diff(a, b, cmpopts.EquateNaNs(), cmpopts.IgnoreUnexported(recovery.Link{}, recovery.Hold{})), "fields that no package shows")
}

// alike reports whether two values are the same to the last bit, all that they point to included.
func alike(a, b reflect.Value) bool {
	if a.Kind() != b.Kind() {
		return false
	}
	switch a.Kind() {
	case reflect.Float64:
		return math.Float64bits(a.Float()) == math.Float64bits(b.Float())
	case reflect.Pointer, reflect.Interface:
		if a.IsNil() || b.IsNil() {
			return a.IsNil() == b.IsNil()
		}
		return a.Kind() == reflect.Pointer && a.Pointer() == b.Pointer() || alike(a.Elem(), b.Elem())
	case reflect.Struct:
		for i := range a.NumField() {
			if !alike(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Slice:
		if a.IsNil() != b.IsNil() || a.Len() != b.Len() {
			return false
		}
		fallthrough
	case reflect.Array:
		for i := range a.Len() {
			if !alike(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case reflect.Map:
		if a.Len() != b.Len() {
			return false
		}
		for _, k := range a.MapKeys() {
			if v := b.MapIndex(k); !v.IsValid() || !alike(a.MapIndex(k), v) {
				return false
			}
		}
		return true
	}
	return a.Equal(b)
}

func countLeaves(v reflect.Value) int {
	k, place := math.MaxInt, ""
	changeLeaf(v, &k, &place)
	return math.MaxInt - k
}

// changeLeaf changes the k-th number, switch, list or choice below v and tells its place; k counts down.
func changeLeaf(v reflect.Value, k *int, place *string) {
	switch v.Kind() {
	case reflect.Pointer:
		changeLeaf(v.Elem(), k, place)
		return
	case reflect.Struct:
		if _, ok := v.Interface().(time.Time); ok {
			break
		}
		for i := range v.NumField() {
			if changeLeaf(v.Field(i), k, place); *k < 0 {
				*place = v.Type().Field(i).Name + " " + *place
				return
			}
		}
		return
	case reflect.Slice:
		if v.Type().Elem().Kind() != reflect.Struct {
			break
		}
		for i := range v.Len() {
			if changeLeaf(v.Index(i), k, place); *k < 0 {
				*place = fmt.Sprint(i, " ", *place)
				return
			}
		}
		return
	}
	if *k--; *k >= 0 {
		return
	}
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(std.Or(v.Float()*0.9, 0.5))
	case reflect.Int:
		v.SetInt(v.Int() + 1)
	case reflect.Bool:
		v.SetBool(!v.Bool())
	case reflect.Slice:
		v.Set(reflect.Zero(v.Type()))
	case reflect.Struct:
		v.Set(reflect.ValueOf(v.Interface().(time.Time).AddDate(0, 4, 0)))
	case reflect.String:
		other := map[string]string{"petrol": "diesel", "diesel": "petrol"}
		v.SetString(std.Or(other[v.String()], v.String()))
	}
}
