package bench

import (
	"strings"
	"testing"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/risk/recovery"

	"pgregory.net/rapid"
)

func tables(t testing.TB) *recovery.Tables {
	t.Helper()
	data, file := assets.Table("recovery")
	tab, err := recovery.ParseTables(data, file)
	if err != nil {
		t.Fatal(err)
	}
	return tab
}

// sound is a kit with which the example of the US Army course handout 63H34F01 holds: 3,000 kg at twice its
// weight, a winch of 4,310 kg, one block.
func sound() Ask {
	kn := recovery.KN
	return Ask{
		Stuck: recovery.Stuck{MassKg: 3000, Ground: geo.Mud, Depth: recovery.Hub},
		Kit: recovery.Kit{Winch: &recovery.Winch{RatedKN: kn(4310), Rope: recovery.Rope{Material: recovery.HMPE, DiameterMM: 12, LengthM: 30}, DrumMM: 200, DrumWidthMM: 600},
			Gear: []recovery.Gear{{Kind: recovery.Block, WLLKN: kn(10000)}, {Kind: recovery.Shackle, WLLKN: kn(8500), Count: 5},
				{Kind: recovery.TreeStrap, MBSKN: kn(20000), LengthM: 3}, {Kind: recovery.Receiver, WLLKN: kn(6000)}}},
		Site:   recovery.Site{DistanceM: 10, Anchors: []recovery.Anchor{{Kind: recovery.Tree, TrunkMM: 500}}},
		People: 2, Spades: 1,
	}
}

func part(r *Report, key string) *Part {
	for _, p := range r.Parts() {
		if p.Key == key {
			return &p
		}
	}
	return nil
}

// TestWorkParts: the worked example's fall line of 3,300 kg = 32.36 kN (10 % of the load for one sheave,
// shared by two parts) stands in the rig's part, and every part a reader needs is there.
func TestWorkParts(t *testing.T) {
	r, err := Work(tables(t), sound())
	if err != nil {
		t.Fatal(err)
	}
	if ok, text := r.Verdict(); !ok || !strings.HasPrefix(text, "HOLDS: one block") || !strings.Contains(text, "fall line 32.4 kN") {
		t.Errorf("the verdict is %v, %q, want one block to hold with 32.4 kN", ok, text)
	}
	for _, key := range []string{"asks", "rig", "chain", "anchor", "checks", "beside", "tried", "assumed", "cautions"} {
		if part(r, key) == nil {
			t.Errorf("there is no part %s", key)
		}
	}
	if part(r, "cures") != nil {
		t.Error("a recovery that holds is told cures")
	}
	n := 0
	for _, p := range r.Parts() {
		for _, row := range p.Rows {
			if strings.TrimSpace(row.Text) == "" && row.Link == nil {
				t.Errorf("part %s has an empty row %q", p.Key, row.Title)
			}
		}
		if p.Key != "chain" {
			n += len(p.Rows)
		}
	}
	if steps := len(r.Steps); n < steps+len(r.Checks)+len(r.Cautions) {
		t.Errorf("the parts have %d rows, fewer than the steps, checks and cautions of the working", n)
	}
}

// Every step of a working belongs to exactly one part: none is lost on the way to the reader.
func TestEveryStepIsShown(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := sound()
		a.Stuck.Grade = rapid.Float64Range(-0.6, 0.6).Draw(t, "grade")
		a.Stuck.Depth = recovery.Depth(rapid.IntRange(0, int(recovery.NumDepths)-1).Draw(t, "depth"))
		a.Stuck.WheelsDriving = rapid.Bool().Draw(t, "wheels")
		if rapid.Bool().Draw(t, "bare") {
			a.Kit = recovery.Kit{}
		}
		if rapid.Bool().Draw(t, "turn") {
			a.Site.Turn = &recovery.Turn{AngleDeg: 90, DistanceM: 8, Anchor: recovery.Anchor{Kind: recovery.Rock}}
		}
		r, err := Work(fixed, a)
		if err != nil {
			t.Fatal(err)
		}
		told := map[string]int{}
		for _, p := range r.Parts() {
			for _, row := range p.Rows {
				told[row.Key+"|"+row.Text]++
			}
		}
		for _, s := range r.Steps {
			if told[s.Key+"|"+s.Text] == 0 {
				t.Fatalf("the step %s (%s) is in no part", s.Key, s.Text)
			}
		}
		if len(part(r, "cautions").Rows) < 5 {
			t.Fatal("the cautions are missing")
		}
	})
}

var fixed = func() *recovery.Tables {
	data, file := assets.Table("recovery")
	tab, err := recovery.ParseTables(data, file)
	if err != nil {
		panic(err)
	}
	return tab
}()

// TestUnrated: a piece without a mark is asked for; refused kinds and dampers are not, since no mark would
// make them bear.
func TestUnrated(t *testing.T) {
	k := recovery.Kit{Gear: []recovery.Gear{{Kind: recovery.Block}, {Kind: recovery.Shackle, WLLKN: 40}, {Kind: recovery.TowBall}, {Kind: recovery.Damper}, {Kind: recovery.Strap, Count: 2}}}
	got := Unrated(fixed, k)
	if len(got) != 2 || got[0] != 0 || got[1] != 4 {
		t.Errorf("Unrated = %v, want the block and the straps (0 and 4)", got)
	}
}

func TestBadFiguresAreRefused(t *testing.T) {
	for name, spoil := range map[string]func(*Ask){
		"a car of 900 t":   func(a *Ask) { a.Stuck.MassKg = 900000 },
		"a rope of 0 mm":   func(a *Ask) { a.Kit.Winch.Rope.DiameterMM = 0 },
		"a grade of 300 %": func(a *Ask) { a.Stuck.Grade = 3 },
	} {
		a := sound()
		spoil(&a)
		if _, err := Work(fixed, a); err == nil || !strings.Contains(err.Error(), " to ") {
			t.Errorf("%s: %v, want it refused with the allowed range", name, err)
		}
	}
}

// A spade does nothing in bare rock, so no digging is offered there.
func TestNoDiggingInBareRock(t *testing.T) {
	tab := tables(t)
	for ground, want := range map[geo.Ground]bool{geo.Mud: true, geo.LooseRock: true, geo.LedgeRock: false} {
		r, err := Work(tab, Ask{Stuck: recovery.Stuck{MassKg: 2950, Ground: ground, Depth: recovery.Hub}, People: 2, Spades: 1})
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Digging != nil; got != want {
			t.Errorf("digging in %s: %v, want %v", ground, got, want)
		}
	}
}
