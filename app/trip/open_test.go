package trip

import (
	"context"
	"testing"
	"time"
)

func TestDemoOpensJudged(t *testing.T) {
	start := time.Now()
	d, err := Open(context.Background(), Request{Files: []string{"demo"}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%.2f s, %d legs", time.Since(start).Seconds(), len(d.Survey.Legs))
	for i, l := range d.Judgement.Legs {
		t.Logf("%d %s R %.1f %s", i+1, d.Survey.Legs[l.Leg].Why, l.Score.Readiness, l.Score.Word)
	}
}
