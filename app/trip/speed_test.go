package trip

import (
	"context"
	"fmt"
	"testing"

	"lastroad/geo"
	"lastroad/risk"
)

// BenchmarkDemo opens the demo as the window does at its start.
func BenchmarkDemo(b *testing.B) {
	if _, err := Builtin(); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Demo(context.Background(), Request{Quick: true}, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// cut gives the demo's survey cut into n legs of as many samples each.
func cut(b *testing.B, n int) (*Document, *geo.Survey) {
	d, err := Demo(context.Background(), Request{Quick: true}, nil)
	if err != nil {
		b.Fatal(err)
	}
	s := *d.Survey
	if n != len(s.Legs) {
		s.Legs = nil
		last := len(s.Samples) - 1
		for i := range n {
			s.Legs = append(s.Legs, geo.Leg{From: i * last / n, To: (i + 1) * last / n})
		}
	}
	return d, &s
}

// BenchmarkRejudge is the first answer after an edit in the window: one more litre of water at each turn, so
// that no two trips are the same.
func BenchmarkRejudge(b *testing.B) {
	t, err := Builtin()
	if err != nil {
		b.Fatal(err)
	}
	for _, n := range []int{18, 40} {
		d, s := cut(b, n)
		for _, c := range []struct {
			name string
			edit func(*risk.Trip, int)
		}{
			{"load", func(t *risk.Trip, i int) { t.Party.Load[i%len(t.Party.Load)].Count += float64(i % 3) }},
			{"party", func(t *risk.Trip, i int) { t.Party.People[0].MassKg += float64(i % 7) }},
			{"conditions", func(t *risk.Trip, i int) { t.Conditions.DayMaxC += float64(i%11) / 10 }},
		} {
			b.Run(fmt.Sprintf("%s/%d legs", c.name, n), func(b *testing.B) {
				i := 0
				for b.Loop() {
					i++
					trip := d.Plan.Clone().Trip
					c.edit(&trip, i)
					if _, err := risk.Judge(context.Background(), s, trip, t.Catalogue, risk.Options{Quick: true, Memo: d.Memo()}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// BenchmarkAdviseDemo is the advice on what to carry on the demo, with nothing worked out before: all items and recipes of
// the tables.
func BenchmarkAdviseDemo(b *testing.B) {
	d, err := Demo(context.Background(), Request{Quick: true}, nil)
	if err != nil {
		b.Fatal(err)
	}
	cat, err := d.Catalogue()
	if err != nil {
		b.Fatal(err)
	}
	for _, together := range []bool{false, true} {
		b.Run(map[bool]string{false: "alone", true: "together"}[together], func(b *testing.B) {
			trip := d.Plan.Clone().Trip
			trip.Together = together
			b.ReportAllocs()
			for b.Loop() {
				if _, err := risk.Advise(context.Background(), d.Survey, d.Plan.Judged(trip), cat, risk.PackLimit{}, risk.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
