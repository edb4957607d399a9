package trip

import (
	"math"
	"testing"

	"lastroad/geo"
)

// line is a survey of samples 1 km apart. k marks maintained road, ? land without data; each kilometre takes the given seconds.
func line(kept string, seconds []float64) *geo.Survey {
	s := &geo.Survey{}
	at := 0.0
	for i, c := range kept {
		s.Samples = append(s.Samples, geo.Sample{DistanceM: 1000 * float64(i), DriveS: at, Kept: c == 'k', InRegion: c != '?'})
		if i < len(seconds) {
			at += seconds[i]
		}
	}
	return s
}

func TestTurnBackByHand(t *testing.T) {
	even := func(n int, s float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = s
		}
		return out
	}
	for _, c := range []struct {
		name string
		kept string
		secs []float64
		want []float64 // metres
	}{
		// Ten kilometres of even track: half-way.
		{"even", "k---------k", even(10, 60), []float64{5000}},
		// Five slow kilometres of 120 s, then five of 60 s: 900 s in all, half of it, 450 s, is at 3.75 km.
		{"slow first", "k---------k", append(even(5, 120), even(5, 60)...), []float64{3750}},
		{"too short to tell", "kkk---kkkkk", even(10, 60), nil},
		{"two stretches", "k-----k------k", even(13, 60), []float64{3000, 9500}},
		{"all maintained", "kkkkkkkkkkk", even(10, 60), nil},
		{"nothing maintained", "-----------", even(10, 60), nil},
		{"from the start of the route", "---------kk", even(10, 60), nil},
		{"to its end", "kk---------", even(10, 60), nil},
		{"through land without data", "k----?----k", even(10, 60), nil},
		{"one point", "-", nil, nil},
		{"empty", "", nil, nil},
	} {
		got := TurnBacks(line(c.kept, c.secs))
		if len(got) != len(c.want) {
			t.Errorf("%s: %d points, want %d: %+v", c.name, len(got), len(c.want), got)
			continue
		}
		for i, g := range got {
			if math.Abs(g.AtM-c.want[i]) > 1 || g.AtM < g.FromM || g.AtM > g.ToM {
				t.Errorf("%s: point %d lies at %.0f m, want %.0f", c.name, i, g.AtM, c.want[i])
			}
		}
	}
}
