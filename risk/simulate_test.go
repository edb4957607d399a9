package risk

import (
	"context"
	"testing"
)

func TestSimulationAgreesWithTheAnalyticAnswer(t *testing.T) {
	tr := usualTrip()
	for _, together := range []bool{false, true} {
		tr.Together = together
		r, err := Simulate(context.Background(), desert(), tr, cat(t), 200_000, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !r.Agrees {
			t.Errorf("together %v: %s (%.1f standard errors)", together, r.Text, r.Sigmas)
		}
	}
}

func BenchmarkSimulate(b *testing.B) {
	tr := usualTrip()
	for b.Loop() {
		if _, err := Simulate(context.Background(), desert(), tr, cat(b), UsualTrips, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkJudgeQuick(b *testing.B) {
	tr := usualTrip()
	s := desert()
	c := cat(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Judge(context.Background(), s, tr, c, Options{Quick: true}); err != nil {
			b.Fatal(err)
		}
	}
}

// Judging again with a memo, as a window does after every change.
func BenchmarkJudgeAgain(b *testing.B) {
	tr := usualTrip()
	s := desert()
	c := cat(b)
	m := &Memo{}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Judge(context.Background(), s, tr, c, Options{Memo: m}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkJudgeQuickAgain(b *testing.B) {
	tr := usualTrip()
	s := desert()
	c := cat(b)
	m := &Memo{}
	for b.Loop() {
		if _, err := Judge(context.Background(), s, tr, c, Options{Quick: true, Memo: m}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkJudgeFull(b *testing.B) {
	tr := usualTrip()
	s := desert()
	c := cat(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Judge(context.Background(), s, tr, c, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkJudgeSamples(b *testing.B) {
	tr := usualTrip()
	s := desert()
	c := cat(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Judge(context.Background(), s, tr, c, Options{Samples: 2000}); err != nil {
			b.Fatal(err)
		}
	}
}
