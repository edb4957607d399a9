package coverage

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// uncertain is a model with every number in it uncertain. Inputs are numbered forwards or backwards, so that two models
// seldom number the same input alike. The last class has the first one's.
func uncertain(m *Model, backwards bool) *Model {
	c := *m
	add := func(in Input, key string) int32 {
		in.Key = key
		if i := slices.IndexFunc(c.Inputs, func(x Input) bool { return x.Key == key }); i >= 0 {
			return int32(i)
		}
		c.Inputs = append(c.Inputs, in)
		return int32(len(c.Inputs) - 1)
	}
	chance := func(p float64, key string) int32 { return add(ChanceInput("", "", "assumption", p/2, p, (1+p)/2), key) }
	c.Cells, c.Classes = slices.Clone(m.Cells), slices.Clone(m.Classes)
	for k := range c.Classes {
		if backwards {
			k = len(c.Classes) - 1 - k
		}
		q := &c.Classes[k]
		k %= len(c.Classes) - 1
		q.BetaInput = chance(q.Beta, fmt.Sprint("beta", k))
		q.Solo, q.Together = slices.Clone(q.Solo), slices.Clone(q.Together)
		for w, rs := range [][]Recipe{q.Solo, q.Together} {
			for i := range rs {
				rs[i].Input = chance(rs[i].Chance, fmt.Sprint("recipe", k, w, i))
			}
		}
	}
	c.Common = add(RateInput("", "", "assumption", 0.5, 1, 2), "common")
	c.HelpInput = add(TimeInput("", "", "assumption", 2), "help")
	ground := add(Input{Kind: Choice, Weights: []float64{0.3, 0.7}}, "ground")
	for i := range c.Cells {
		q := &c.Cells[i]
		p := Part{Mean: q.Mean, Worst: q.Worst, Rate: -1, Wide: -1, Mix: -1}
		if i%3 == 0 {
			p.Mix, p.Pick, p.Weight = ground, 1, 0.7
		}
		q.From, q.To = int32(i), int32(i+1)
		c.Parts = append(c.Parts, p)
	}
	return &c
}

// A model sampled beside another one comes to the same, to the last bit, as sampled by itself: with more of a stock, surer
// things, more recipes, better margins and help, and a partner, several at once, and things and classes in another order.
func TestBesideIsTheSameAsApart(t *testing.T) {
	together := 0
	rapid.Check(t, func(t *rapid.T) {
		m := randomModel(t)
		for i := range m.Things {
			m.Things[i].Key = fmt.Sprint("thing ", i)
		}
		m.Classes = append(m.Classes, m.Classes[0])
		for j := range m.Cells {
			if j%2 == 0 && m.Cells[j].Class == 0 {
				m.Cells[j].Class = int32(len(m.Classes) - 1)
			}
		}
		var models []*Model
		for range 3 {
			o := m
			for range rapid.IntRange(0, 2).Draw(t, "changes") {
				o, _ = better(t, o)
			}
			if rapid.Bool().Draw(t, "one more thing") {
				o = withFirstThing(o)
			}
			models = append(models, uncertain(o, rapid.Bool().Draw(t, "backwards")))
		}
		m = uncertain(m, false)
		const n, seed = 5, 7
		d := Draw(m, n, seed)
		var beside []*Beside
		for _, o := range models {
			b := NewBeside(m, d, o, seed)
			if !b.apart {
				together++
			}
			beside = append(beside, b)
		}
		base, with, err := SpreadBeside(context.Background(), m, d, beside)
		if err != nil {
			t.Fatal(err)
		}
		alone, _ := Spread(context.Background(), m, d)
		if !slices.Equal(base, alone) {
			t.Errorf("the model itself: %v, alone %v", base, alone)
		}
		for k, o := range models {
			want, _ := Spread(context.Background(), o, Draw(o, n, seed))
			for i := range want {
				if got := with[k][i]; got.U != want[i].U || got.D != want[i].D {
					t.Errorf("sample %d of model %d (apart: %t): U %x and D %x, alone %x and %x", i, k, beside[k].apart, got.U, got.D, want[i].U, want[i].D)
				}
			}
		}
	})
	if together == 0 {
		t.Error("no two models had anything in common")
	}
}

// withFirstThing puts a stock that everything uses before the other things, and a recipe into the first class that asks
// for it where there is room.
func withFirstThing(m *Model) *Model {
	c := *m
	c.Things = append([]Thing{{Key: "new", UsedUp: true, Units: 2, Surplus: 1}}, m.Things...)
	c.Events, c.Classes = slices.Clone(m.Events), slices.Clone(m.Classes)
	for e := range c.Events {
		uses := []Use{{0, 1}}
		for _, u := range m.Events[e].Uses {
			uses = append(uses, Use{u.Thing + 1, u.Units})
		}
		c.Events[e].Uses = uses
	}
	for k := range c.Classes {
		q := &c.Classes[k]
		q.Atoms = slices.Clone(q.Atoms)
		for i := range q.Atoms {
			q.Atoms[i]++
		}
	}
	q := &c.Classes[0]
	r := Recipe{Chance: 0.6, Scale: 1, Input: -1, Needs: []uint16{1 << len(q.Atoms)}}
	q.Atoms = append(q.Atoms, 0)
	q.Solo, q.Together = append(slices.Clone(q.Solo), r), append(slices.Clone(q.Together), r)
	return &c
}
