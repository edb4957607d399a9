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
		j, err := Judge(context.Background(), s, tr, cat(t), Options{Samples: 500})
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s R %.2f U %.5f D %.4f stopped %.4f unaided %.4f nohelp %.5f", j.Variant, j.Trip.Readiness, j.Trip.U, j.Trip.D, j.Trip.Stopped.P, j.Trip.NotUnaided.P, j.Trip.NoHelp.P)
		t.Logf("band %.2f word %s", j.Trip.Band, j.Trip.Word)
		for _, f := range j.Findings {
			t.Logf("  F %d %s %s", f.Severity, f.Key, f.Text)
		}
		for k, q := range j.Tornado {
			if k < 8 {
				t.Logf("  tornado %s %s %.5f %.5f", q.Key, q.From, q.ULow, q.UHigh)
			}
		}
		for k, q := range j.Trip.Lost {
			if k < 12 {
				t.Logf("   %s  [%.3f %.3f %.3f %.3f]", q.Text, q.Missing, q.Stock, q.Late, q.Rest)
			}
		}
		for i, l := range j.Legs {
			t.Logf("leg %d R %.2f U %.5f D %.4f stopped %.4f unaided %.4f nohelp %.5f", i, l.Score.Readiness, l.Score.U, l.Score.D, l.Score.Stopped.P, l.Score.NotUnaided.P, l.Score.NoHelp.P)
			t.Logf("   word %s band %.1f pull %+v", l.Score.Word, l.Score.Band, l.Needs.Pull != nil)
			for _, f := range l.Findings {
				t.Logf("  F %d %s %s", f.Severity, f.Key, f.Text)
			}
			t.Logf("   water %v have %.0f fuel %v reach %v have %v move %v kpa %v cap %v", l.Needs.WaterL, l.Needs.WaterHaveL, l.Needs.FuelL, l.Needs.FuelReachL, l.Needs.FuelHaveL, l.Needs.MoveMin, l.Needs.PressureKPa, l.Needs.SpeedCapKmh)
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
