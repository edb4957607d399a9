package risk

import (
	"context"
	"slices"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"lastroad/geo"
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
	same := func(a, b *Judgement) string {
		return cmp.Diff(a, b, cmpopts.EquateNaNs(), cmpopts.IgnoreUnexported(recovery.Link{}, recovery.Hold{}))
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
				if d := same(want[i], judged(i, m)); d != "" {
					t.Errorf("edit %d judged with what is kept differs: %s", i, d)
				}
			}
		})
	}
	wg.Wait()
	if d := same(want[0], judged(0, nil)); d != "" {
		t.Errorf("an answer has changed after it was given: %s", d)
	}
}
