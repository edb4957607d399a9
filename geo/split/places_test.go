package split

import (
	"testing"

	"lastroad/geo"
)

func TestTurns(t *testing.T) {
	// 2 km up at 10 %, 1 km level, 2 km down at 10 %, 2 km up: the crest is in the middle of the level
	// kilometre, at 2.5 km, the dip at 5 km; a ripple of 10 m at the end is no turn.
	s := surveyOf(stretch{km: 2, ground: geo.Gravel, grade: 0.1}, stretch{km: 1, ground: geo.Gravel}, stretch{km: 2, ground: geo.Gravel, grade: -0.1},
		stretch{km: 2, ground: geo.Gravel, grade: 0.1}, stretch{km: 0.1, ground: geo.Gravel, grade: -0.1}, stretch{km: 0.5, ground: geo.Gravel, grade: 0.1})
	got := turns(s)
	if len(got) != 2 {
		t.Fatalf("turns at samples %v, want two", got)
	}
	for k, want := range []float64{2500, 5000} {
		if d := s.Samples[got[k]].DistanceM; d < want-50 || d > want+50 {
			t.Errorf("turn %d lies at %.0f m, want %.0f within two samples", k, d, want)
		}
	}
	if got := turns(surveyOf(stretch{km: 3, ground: geo.Gravel})); len(got) != 0 {
		t.Errorf("a level route has turns %v", got)
	}
}
