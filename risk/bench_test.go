package risk

import (
	"context"
	"testing"

	"github.com/pelletier/go-toml/v2"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/risk/catalogue"
)

// fortyLegs is a made-up route of 40 legs on ten kinds of ground, 240 km.
func fortyLegs() *geo.Survey {
	grounds := []geo.GroundMix{pure(geo.Sealed), pure(geo.Gravel), pure(geo.FirmTrack), pure(geo.Sand), unknownMix(), pure(geo.Clay), pure(geo.LooseRock), pure(geo.Mud), pure(geo.Grass), pure(geo.Salt)}
	var parts []stretch
	for i := range 40 {
		parts = append(parts, stretch{6, grounds[i%len(grounds)], float64(i%5)*0.04 - 0.06, float64(20 + 30*(i%3))})
	}
	return made(parts...)
}

// sixtyItems are the usual load and as many other things as make sixty.
func sixtyItems(t testing.TB) []LoadItem {
	l := usualLoad()
	have := map[string]bool{}
	for _, it := range l {
		have[it.Item] = true
	}
	for i := range cat(t).Items {
		if k := cat(t).Items[i].Key; !have[k] && len(l) < 60 {
			l = append(l, LoadItem{Item: k, Count: 1})
		}
	}
	return l
}

// fewerKinds is the catalogue cut down to hazards with so many kinds of trouble together, and the recipes that end those.
func fewerKinds(t testing.TB, most int) *catalogue.Catalogue {
	t.Helper()
	kept := map[string]bool{}
	c, err := catalogue.Load(func(name string) ([]byte, string) {
		data, file := assets.Table(name)
		var doc map[string]any
		if name != "hazards" && name != "recipes" {
			return data, file
		}
		if err := toml.Unmarshal(data, &doc); err != nil {
			t.Fatal(err)
		}
		keep := func(rows string, wanted func(map[string]any) bool) {
			var out []any
			for _, r := range doc[rows].([]any) {
				if wanted(r.(map[string]any)) {
					out = append(out, r)
				}
			}
			doc[rows] = out
		}
		if name == "hazards" {
			keep("hazard", func(h map[string]any) bool {
				events := h["event"].([]any)
				if len(kept)+len(events) > most {
					return false
				}
				for _, e := range events {
					kept[e.(map[string]any)["key"].(string)] = true
				}
				return true
			})
		} else {
			keep("recipe", func(r map[string]any) bool {
				var left []any
				for _, e := range r["events"].([]any) {
					if kept[e.(string)] {
						left = append(left, e)
					}
				}
				r["events"] = left
				return len(left) > 0
			})
		}
		data, err := toml.Marshal(doc)
		if err != nil {
			t.Fatal(err)
		}
		return data, file
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Events) != most {
		t.Fatalf("%d kinds of trouble, want %d", len(c.Events), most)
	}
	return c
}

// BenchmarkJudge40x20x60 is BenchmarkJudge40 with 20 kinds of trouble: all hazards but the mechanical one, whose shares
// cannot be had in part. The goal, 4 ms on one core for 25 kinds, lies between the two.
func BenchmarkJudge40x20x60(b *testing.B) { judgeEdits(b, fewerKinds(b, 20)) }

// BenchmarkJudge40 judges 40 legs with all kinds of trouble of the tables and 60 items again after an edit, as the
// window does: one more or less of an item each time, with the memo that it keeps. Memory does
// not grow from one to the next.
func BenchmarkJudge40(b *testing.B) { judgeEdits(b, cat(b)) }

func judgeEdits(b *testing.B, c *catalogue.Catalogue) {
	s, tr := fortyLegs(), usualTrip()
	tr.Party.Load = sixtyItems(b)
	m := &Memo{}
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		i++
		t := tr
		t.Party.Load = append([]LoadItem(nil), tr.Party.Load...)
		t.Party.Load[i%len(t.Party.Load)].Count += float64(i % 3)
		if _, err := Judge(context.Background(), s, t, c, Options{Quick: true, Memo: m}); err != nil {
			b.Fatal(err)
		}
	}
}

// The readiness alone of the same trip, without needs, words and lists: what searching and sampling rest on.
func BenchmarkReadiness40(b *testing.B) {
	s, tr := fortyLegs(), usualTrip()
	tr.Party.Load = sixtyItems(b)
	c := cat(b)
	m := &Memo{}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := begin(context.Background(), s, tr, c, Options{Quick: true, central: true, Memo: m}); err != nil {
			b.Fatal(err)
		}
	}
}
