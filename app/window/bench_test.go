package window

import (
	"math"
	"strings"
	"testing"

	"lastroad/app/bench"
	"lastroad/risk"
	"lastroad/risk/recovery"
)

// field finds the entry line with a label among the fields of the bench; nth counts those of one label.
func (u *user) field(label string, nth int) *quantityField {
	u.t.Helper()
	for _, f := range u.shell.bench.fields {
		if f.spec.label == label {
			if nth == 0 {
				return f
			}
			nth--
		}
	}
	u.t.Fatalf("the bench has no field %q", label)
	return nil
}

// puts types a text into a field of the bench in place of what stands there.
func (u *user) puts(label string, nth int, text string) *user {
	u.t.Helper()
	u.field(label, nth).entry.SetText(text)
	u.settle()
	return u
}

// withWinch gives the party of the demo a winch and what belongs to it.
func withWinch(u *user) *user {
	u.p.AddItems("a winch", []risk.LoadItem{{Item: "winch", Count: 1, RatingKN: 42.3, LengthM: 28}, {Item: "block", Count: 2, RatingKN: 80}, {Item: "shackle", Count: 4, RatingKN: 46.6},
		{Item: "tree_strap", Count: 1, RatingKN: 60}})
	u.settle()
	return u
}

// TestBenchIsPrefilledFromTheLeg: the leg's sheet and the bench tell the same pull, rig and weakest link, and
// changing the bench leaves the trip as it is.
func TestBenchIsPrefilledFromTheLeg(t *testing.T) {
	u := withWinch(sit(t, realDesk()).openDemo())
	leg := 8
	u.choose(leg)
	need := u.p.Judgement().Legs[leg].Needs.Pull
	if need == nil || need.Working == nil {
		t.Fatal("leg 9 of the demo asks for no recovery")
	}
	rev := u.p.rev
	u.does("bench_leg").sees("What is stuck").sees("The figures of leg 9").sees("Cautions")
	b := u.shell.bench.report
	if b == nil || u.p.screen != screenBench {
		t.Fatalf("the bench shows %v on screen %d", b, u.p.screen)
	}
	if b.Pull.CentralKN != need.RequiredKN.Central || b.Rig.Key != need.Working.Rig.Key || b.Margin != need.Working.Margin || b.Weakest() != need.Working.Weakest() {
		t.Errorf("the bench says %.2f kN, %s, %.3f, %s; the leg's sheet %.2f, %s, %.3f, %s", b.Pull.CentralKN, b.Rig.Key, b.Margin, b.Weakest(),
			need.RequiredKN.Central, need.Working.Rig.Key, need.Working.Margin, need.Working.Weakest())
	}
	u.puts("Loaded mass", 0, "2000 kg")
	if got := u.shell.bench.report.Pull.CentralKN; !(got < need.RequiredKN.Central) {
		t.Errorf("with 2000 kg the pull is %.1f kN, want less than %.1f", got, need.RequiredKN.Central)
	}
	if u.p.rev != rev || u.p.Judgement().Legs[leg].Needs.Pull.Working.Stuck.MassKg == 2000 {
		t.Error("changing the bench changed the trip")
	}
}

// TestBenchWorkedExample types the US Army's example (course handout 63H34F01: 3,000 kg at twice its weight,
// a winch of 4,310 kg, advantage 2, fall line 3,300 kg = 32.4 kN) into an empty bench, as a person would.
func TestBenchWorkedExample(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen6").sees("Nothing is on the bench").sees("Please give the mass of the stuck vehicle")
	if len(u.shell.bench.cautions.Objects) < 8 {
		t.Error("the cautions are not in view before anything is worked out")
	}
	u.shell.bench.ask.Stuck.Ground = 5 // mud; choosing from a list has no words to type
	u.puts("Loaded mass", 0, "3000 kg")
	u.sees("It does not hold").sees("There is no winch").sees("58.8")
	u.tap("Add a winch")
	u.sees("Please give the rated pull of the winch, the diameter of the winch rope and the length of the winch rope.")
	u.puts("Rated pull", 0, "42.27 kN").puts("Rope diameter", 0, "12 mm").puts("Rope length", 0, "30 m").puts("Drum diameter", 0, "200 mm").puts("Drum width", 0, "600 mm")
	u.sees("No anchor is on the bench")
	s := u.shell.bench
	s.ask.Site.Anchors = []recovery.Anchor{{Kind: recovery.Tree, TrunkMM: 500}}
	s.ask.Kit.Gear = []recovery.Gear{{Kind: recovery.Block, Count: 1}, {Kind: recovery.Shackle, Count: 5}, {Kind: recovery.TreeStrap, Count: 1, LengthM: 3}, {Kind: recovery.Receiver, Count: 1}}
	s.rebuild()
	u.settle()
	u.sees("What is stamped on it? Until a rating is given it bears nothing.").sees("It does not hold")
	u.puts("Working load limit", 0, "98 kN").puts("Working load limit", 1, "83 kN").puts("Breaking strength", 2, "196 kN").puts("Working load limit", 3, "59 kN").puts("Distance to the anchor", 0, "10 m")
	u.doesNotSee("What is stamped on it?")
	u.sees("It holds by these figures").sees("One block at the anchor").sees("weakest")
	if f := s.report.Tackle.FallLineKN; math.Abs(f-32.36) > 0.05 {
		t.Errorf("the fall line is %.2f kN, want 32.36", f)
	}
	if !s.rigShape.Visible() || len(s.rigShape.d.Nodes) == 0 {
		t.Error("the rig is not drawn")
	}
}

// TestBenchRefusesWithTheRange: a figure out of its range is refused beside the field, the last good one stays.
func TestBenchRefusesWithTheRange(t *testing.T) {
	u := withWinch(sit(t, realDesk()).openDemo())
	u.choose(8).does("bench_leg")
	mass := u.shell.bench.ask.Stuck.MassKg
	for text, want := range map[string]string{"900 t": "From 200\u00a0kg to 40000\u00a0kg is allowed.", "-3 kg": "is allowed", "0": "is allowed", "NaN": "Not read as a figure", "heavy": "Not read as a figure"} {
		u.puts("Loaded mass", 0, text)
		f := u.field("Loaded mass", 0)
		if !f.alarm.Visible() || !strings.Contains(f.alarm.Text, want) || u.shell.bench.ask.Stuck.MassKg != mass {
			t.Errorf("%q gives %q and a mass of %v, want %q and %v", text, f.alarm.Text, u.shell.bench.ask.Stuck.MassKg, want, mass)
		}
	}
	u.puts("Loaded mass", 0, "2500 kg")
	if f := u.field("Loaded mass", 0); f.alarm.Visible() || u.shell.bench.ask.Stuck.MassKg != 2500 {
		t.Errorf("2500 kg leaves %q and a mass of %v", f.alarm.Text, u.shell.bench.ask.Stuck.MassKg)
	}
}

// TestBenchUnits: in another system every figure of the working is in it, the text of package recovery with
// both.
func TestBenchUnits(t *testing.T) {
	u := withWinch(sit(t, realDesk()).openDemo())
	u.choose(8).does("bench_leg")
	n := u.p.Settings()
	n.Units = "us"
	u.p.SetSettings(n)
	u.settle()
	u.sees("lbf").sees("lb weigh")
	if got, want := u.p.both("the line is 3.0 m short, 10.0 kN"), "the line is 3.0 m (9.8\u00a0ft) short, 10.0 kN (2248\u00a0lbf)"; got != want {
		t.Errorf("both = %q, want %q", got, want)
	}
}

// TestBenchSaysEveryStep: each step of a working has words of the window's own, so that it is read in the
// user's language and units.
func TestBenchSaysEveryStep(t *testing.T) {
	u := withWinch(sit(t, realDesk()).openDemo())
	u.choose(8).does("bench_leg")
	s := u.shell.bench
	s.ask.Stuck.Grade, s.ask.Stuck.Depth, s.ask.Stuck.WheelsDriving = -0.5, recovery.Tread, true
	s.ask.Site.Turn = &recovery.Turn{AngleDeg: 90, DistanceM: 8, Anchor: recovery.Anchor{Kind: recovery.Rock}}
	s.ask.Tug = &recovery.Anchor{Kind: recovery.Vehicle, MassKg: 3000}
	for range 2 {
		s.rebuild()
		u.settle()
		if s.report == nil {
			t.Fatalf("nothing is worked out: %q %v", s.asked, s.err)
		}
		for _, p := range s.report.Parts() {
			for _, row := range p.Rows {
				if row.Key == "" || row.Mark != bench.NoMark || p.Key == "cures" || p.Key == "cautions" || row.Key == "current" {
					continue
				}
				if s.stepText(s.report, row, 0) == "" {
					t.Errorf("step %s has no words of the window", row.Key)
				}
			}
		}
		s.ask.Stuck.Depth, s.ask.Stuck.Grade, s.ask.Site.Turn = recovery.Axle, 0.2, nil
	}
}
