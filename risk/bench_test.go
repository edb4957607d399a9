package risk

import (
	"context"
	"testing"

	"lastroad/geo"
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

// BenchmarkJudge40 judges 40 legs with all kinds of trouble of the tables and 60 items again after an edit, as the
// window does: one more or less of an item each time, with the memo that it keeps. The goal is 4 ms on one core
// and memory that does not grow from one to the next.
func BenchmarkJudge40(b *testing.B) {
	s, tr := fortyLegs(), usualTrip()
	tr.Party.Load = sixtyItems(b)
	c := cat(b)
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
