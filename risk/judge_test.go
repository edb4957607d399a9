package risk

import (
	"context"
	"testing"
)

func TestJudgeLooks(t *testing.T) {
	s := desert()
	tr := usualTrip()
	for _, together := range []bool{false, true} {
		tr.Together = together
		j, err := Judge(context.Background(), s, tr, cat(t), Options{})
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s R %.2f U %.5f D %.4f stopped %.4f unaided %.4f nohelp %.5f", j.Variant, j.Trip.Readiness, j.Trip.U, j.Trip.D, j.Trip.Stopped.P, j.Trip.NotUnaided.P, j.Trip.NoHelp.P)
		for k, q := range j.Trip.Lost {
			if k < 12 {
				t.Logf("   %s  [%.3f %.3f %.3f %.3f]", q.Text, q.Missing, q.Stock, q.Late, q.Rest)
			}
		}
		for i, l := range j.Legs {
			t.Logf("leg %d R %.2f U %.5f D %.4f stopped %.4f unaided %.4f nohelp %.5f", i, l.Score.Readiness, l.Score.U, l.Score.D, l.Score.Stopped.P, l.Score.NotUnaided.P, l.Score.NoHelp.P)
			for k, q := range l.Score.Lost {
				if k < 3 {
					t.Logf("   %s  [%.3f %.3f %.3f %.3f]", q.Text, q.Missing, q.Stock, q.Late, q.Rest)
				}
			}
			if i == 33 {
				for _, e := range l.Events {
					t.Logf("   %-22s m %.5f m* %.5f self %.3f help %.3f U %.6f", e.Key, e.Mean, e.Worst, e.SelfHelp, e.HelpInTime, e.U)
				}
			}
		}
	}
}
