package recovery

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lastroad/geo"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// loadedKit is a kit that a careful traveller carries; ratings in kg as stamped.
func loadedKit() Kit {
	return Kit{
		Winch: &Winch{RatedKN: KN(4310), Rope: Rope{Material: HMPE, DiameterMM: 11, LengthM: 28}},
		Gear: []Gear{
			{Key: "block", Kind: Block, Count: 2, WLLKN: KN(8000), SheaveMM: 110},
			{Key: "shackle", Kind: Shackle, Count: 4, WLLKN: KN(4750)},
			{Key: "soft", Kind: SoftShackle, Count: 3, MBSKN: KN(16000)},
			{Key: "tree", Kind: TreeStrap, LengthM: 3, MBSKN: KN(12000)},
			{Key: "ext", Kind: Strap, LengthM: 9, MBSKN: KN(14000)},
			{Key: "front", Kind: FramePoint, Place: "front", WLLKN: KN(5000)},
			{Key: "front2", Kind: FramePoint, Place: "front", WLLKN: KN(5000)},
			{Key: "damper", Kind: Damper},
		},
	}
}

func hubDeep() Stuck { return Stuck{MassKg: 2900, Ground: geo.Mud, Depth: Hub, Grade: 0.12} }

func treeAt(m float64) Site {
	return Site{Anchors: []Anchor{{Kind: Tree, TrunkMM: 400}}, DistanceM: m}
}

func plan(t testing.TB, s Stuck, k Kit, site Site) *Working {
	t.Helper()
	w, err := tables(t).Plan(s, k, site)
	if err != nil {
		t.Fatalf("Plan: %v", err)
	}
	return w
}

// One case reckoned by hand from the sources' formulas.
// Pull: W = 2900 x 9.80665 = 28.439 kN; hubs 2.0 W = 56.879; sin(atan 0.12) = 0.119145, grade 3.388; 60.267 kN.
// Line 2 x 11 m = 22 m off the drum; 11 mm rope on a 64 x 224 mm drum lies 20 wraps to a layer:
// layer 1 20 pi 0.075 = 4.712 m, so the 6 m left on the drum end in layer 2 and the winch pulls
// 42.267 (64+11)/(64+33) = 32.680 kN. One block: (60.267 x 1.1)/2 = 33.147 kN, too much. Two blocks with
// the line end at the anchor need 33 m, more than may leave the drum, so an extension is used.
func TestPlanByHand(t *testing.T) {
	w := plan(t, hubDeep(), loadedKit(), treeAt(11))
	one := w.Tried[1]
	if one.Rig.Key != "one_block" || one.Holds || !strings.Contains(one.Fails, "fall line 33.1 kN is not below the winch's 32.7 kN on layer 2") {
		t.Errorf("one block: holds %v, %q, want the winch to fall short of 33.1 kN with 32.7 kN", one.Holds, one.Fails)
	}
	// From 8 m the line is shorter, the layer higher, the pull smaller; from 13 m, 26 m would leave only 2 m,
	// less than the 10 wraps (2.356 m) that stay: 25.644 m may leave, so 9 m of strap come in.
	far := plan(t, hubDeep(), loadedKit(), treeAt(13))
	if far.Line.UsableM < 25.64 || far.Line.UsableM > 25.65 {
		t.Errorf("%.3f m may leave the drum, want 28 - 10 x pi x 0.075 = 25.644 m", far.Line.UsableM)
	}
	// On the level 56.879 x 1.1 / 2 = 31.283 kN is below 32.680 kN: it holds.
	s := hubDeep()
	s.Grade = 0
	level := plan(t, s, loadedKit(), treeAt(11))
	if !level.Holds || level.Rig.Key != "one_block" {
		t.Fatalf("on the level: %s holds %v (%s), want one block to hold", level.Rig.Key, level.Holds, level.Fails)
	}
	compare(t, []row{
		{"fall line", level.Tackle.FallLineKN, 31.283, 0.001}, {"dead line at the anchor", level.DeadLines[0].KN, 62.566, 0.002},
		{"dead line at the vehicle", level.DeadLines[1].KN, 31.283, 0.001}, {"winch", level.Winch.Spool.PullKN, 32.680, 0.001},
		{"margin of the winch", level.Winch.Spool.PullKN / level.Tackle.FallLineKN, 1.0446, 0.0005},
		{"block", level.link("block_far_1").LimitKN, 78.453, 0.001}, {"recovery point", level.link("near_point").LimitKN, 49.033, 0.001},
		// The tree takes the strap that the basket makes 1.73 times as strong.
		{"anchor strap", level.link("anchor_strap").LimitKN, KN(14000) / 2 * 1.73, 0.001},
	})
	if level.Margin > 1.0447 || level.Margin < 1 {
		t.Errorf("margin %.4f, want that of the weakest, at most the winch's 1.0446", level.Margin)
	}
}

func (w *Working) link(slot string) Link {
	for _, l := range w.Chain {
		if l.Slot == slot {
			return l
		}
	}
	return Link{LimitKN: math.NaN(), ForceKN: math.NaN()}
}

func TestPlanFindsWhatFails(t *testing.T) {
	level := hubDeep()
	level.Grade = 0
	for _, r := range []struct {
		name  string
		edit  func(*Stuck, *Kit, *Site)
		fails string // part of the text
		cure  string
	}{
		{"no winch", func(_ *Stuck, k *Kit, _ *Site) { k.Winch = nil }, "there is no winch", "A winch rated"},
		{"no block", func(_ *Stuck, k *Kit, _ *Site) { k.Gear = k.Gear[1:] }, "no block with a known rating", "For the block at the anchor: a block with a working load of 62.6 kN"},
		{"unrated block", func(_ *Stuck, k *Kit, _ *Site) { k.Gear[0].WLLKN = 0 }, "no block with a known rating", "a block with a working load"},
		{"weak block", func(_ *Stuck, k *Kit, _ *Site) { k.Gear[0].WLLKN = KN(4000) }, "block at the anchor (block) bears 39.2 kN, below 62.6 kN", "working load of 62.6 kN"},
		{"no connector", func(_ *Stuck, k *Kit, _ *Site) { k.Gear = slices.Delete(k.Gear, 1, 3) }, "no shackle or soft shackle", "For the connector of the block"},
		{"tie-down eyes only", func(_ *Stuck, k *Kit, _ *Site) { k.Gear[5].Kind, k.Gear[6].Kind = TieDown, TieDown }, "no recovery point with a known rating", "a recovery point with a working load of 31.3 kN"},
		{"rear points only", func(_ *Stuck, k *Kit, _ *Site) { k.Gear[5].Place, k.Gear[6].Place = "rear", "rear" }, "no recovery point with a known rating", "a recovery point"},
		{"line too short", func(_ *Stuck, k *Kit, s *Site) { k.Gear = slices.Delete(k.Gear, 4, 5); s.DistanceM = 30 }, "m short", "An extension of"},
		{"no anchor", func(_ *Stuck, _ *Kit, s *Site) { s.Anchors = nil }, "anchor: none is given", "a buried log 0.40 m thick and 1.8 m long"},
		{"thin tree", func(_ *Stuck, _ *Kit, s *Site) { s.Anchors[0].TrunkMM = 150 }, "thinner than 300 mm", "An anchor that holds 62.6 kN"},
		{"sliding vehicle", func(_ *Stuck, k *Kit, s *Site) {
			k.Gear = append(k.Gear, Gear{Kind: FramePoint, Place: "partner", WLLKN: KN(8000)})
			s.Anchors[0] = Anchor{Kind: Vehicle, MassKg: 3000, Ground: geo.Grass, Chocked: true}
		}, "braked vehicle: holds 10.3 kN, below 62.6 kN", "tie it back"},
		{"pickets without soil", func(_ *Stuck, _ *Kit, s *Site) { s.Anchors[0] = Anchor{Kind: Pickets, Picket: "3-2-1"} }, "the soil is not given", "An anchor"},
		{"weak winch", func(_ *Stuck, k *Kit, _ *Site) { k.Winch.RatedKN = 10 }, "not below the winch's", "A winch rated above"},
		{"thin rope", func(_ *Stuck, k *Kit, _ *Site) { k.Winch.Rope.DiameterMM = 7 }, "winch line (7 mm hmpe rope) bears", "A winch line of"},
	} {
		t.Run(r.name, func(t *testing.T) {
			s, k, site := level, loadedKit(), treeAt(11)
			site.MaxAdvantage = 2
			r.edit(&s, &k, &site)
			w := plan(t, s, k, site)
			if w.Holds || w.BestMargin != 0 {
				t.Fatalf("%s holds with margin %.2f, want it to fail", w.Rig.Key, w.BestMargin)
			}
			all, cures := "", ""
			for _, c := range w.Checks {
				if !c.OK {
					all += c.Text + "\n"
				}
			}
			for _, c := range w.Cures {
				cures += c.Text + "\n"
			}
			if r.name != "no winch" {
				for _, x := range w.Tried {
					all += x.Fails + "\n"
				}
			}
			if !strings.Contains(all, r.fails) {
				t.Errorf("fails with\n%s\nwant %q", all, r.fails)
			}
			if w.Rig.Key != "single" && !strings.Contains(cures, r.cure) {
				t.Errorf("cures are\n%s\nwant %q", cures, r.cure)
			}
		})
	}
}

// A cure must cure: give the kit what the failing checks ask for and it holds.
func TestCuresCure(t *testing.T) {
	s := hubDeep()
	s.Grade = 0
	bare := Kit{Winch: &Winch{RatedKN: KN(4310), Rope: Rope{Material: HMPE, DiameterMM: 11, LengthM: 28}}}
	w := plan(t, s, bare, Site{Anchors: []Anchor{{Kind: Tree, TrunkMM: 400}}, DistanceM: 11, MaxAdvantage: 2})
	for range 3 { // the first round may show only the single line's wants
		if w.Holds {
			break
		}
		for _, c := range w.Cures {
			switch Kind(c.Kind) {
			case Shackle, Block, TreeStrap, Strap, FramePoint:
				bare.Gear = append(bare.Gear, Gear{Kind: Kind(c.Kind), WLLKN: c.NeedKN * 1.0001, LengthM: c.NeedM})
			}
		}
		site := Site{Anchors: []Anchor{{Kind: Tree, TrunkMM: 400}}, DistanceM: 11, MaxAdvantage: 2}
		w = plan(t, s, bare, site)
		if !w.Holds && w.Rig.Key == "single" { // the winch itself is short: its cure names another block
			bare.Gear = append(bare.Gear, Gear{Kind: Block, WLLKN: 100}, Gear{Kind: FramePoint, WLLKN: 100}, Gear{Kind: Shackle, WLLKN: 100, Count: 2})
			w = plan(t, s, bare, site)
		}
	}
	if !w.Holds {
		t.Errorf("after all cures %s still fails: %s", w.Rig.Key, w.Fails)
	}
}

func TestRefusedKindsSayWhy(t *testing.T) {
	tab := tables(t)
	for _, k := range []Kind{TieDown, BumperHook, TowBall} {
		b := tab.Bears(Gear{Kind: k, WLLKN: 100})
		if b.KN != 0 || b.Refused == "" {
			t.Errorf("a %s rated 100 kN bears %.1f kN (%q), want it refused with a reason", k, b.KN, b.Refused)
		}
	}
	for _, k := range []Kind{Shackle, SoftShackle, Block, Strap, FramePoint, BoltedPoint, Receiver, Hook, Sling, Chain} {
		if b := tab.Bears(Gear{Kind: k}); b.KN != 0 || !strings.Contains(b.Refused, "no readable rating") {
			t.Errorf("a %s without rating bears %.1f kN (%q), want its rating asked for", k, b.KN, b.Refused)
		}
		if b := tab.Bears(Gear{Kind: k, WLLKN: 40}); b.KN != 40 {
			t.Errorf("a %s stamped 40 kN bears %.1f kN, want the stamp", k, b.KN)
		}
	}
}

func TestDesignFactors(t *testing.T) {
	tab := tables(t)
	for _, r := range []struct {
		g    Gear
		want float64
	}{
		{Gear{Kind: Shackle, MBSKN: 120}, 20}, {Gear{Kind: Shackle, MBSKN: 100, Alloy: true}, 20}, {Gear{Kind: Sling, MBSKN: 100}, 20}, {Gear{Kind: Strap, MBSKN: 100}, 50},
		{Gear{Kind: Strap, MBSKN: 100, Knot: true}, 15.95}, {Gear{Kind: Shackle, WLLKN: 30, MBSKN: 120}, 20}, {Gear{Kind: SoftShackle, MBSKN: 100, BendMM: 25, BodyMM: 10}, 50},
		{Gear{Kind: SoftShackle, MBSKN: 100, BendMM: 24, BodyMM: 10}, 0},
	} {
		if b := tab.Bears(r.g); math.Abs(b.KN-r.want) > 1e-9 {
			t.Errorf("%+v bears %.3f kN (%s%s), want %.3f", r.g, b.KN, b.How, b.Refused, r.want)
		}
	}
}

func TestTurningBlock(t *testing.T) {
	s := Stuck{MassKg: 2000, Ground: geo.Grass}
	site := treeAt(10)
	site.Turn = &Turn{AngleDeg: 60, DistanceM: 6, Anchor: Anchor{Kind: Tree, TrunkMM: 350}}
	k := loadedKit()
	k.Gear = append(k.Gear, Gear{Key: "tree2", Kind: TreeStrap, MBSKN: KN(12000)})
	w := plan(t, s, k, site)
	// 0.33 x 2000 kg = 6.472 kN; one sheave adds a tenth: 7.120 kN; legs at 60 degrees load the block
	// with 1.732 times that, 12.331 kN.
	if !w.Holds || w.Rig.Key != "single_turn" {
		t.Fatalf("%s holds %v: %s", w.Rig.Key, w.Holds, w.Fails)
	}
	compare(t, []row{{"fall line", w.Tackle.FallLineKN, 7.120, 0.001}, {"block", w.TurnHold.NeedKN, 12.331, 0.002}, {"line", w.Line.NeededM, 16, 1e-9}})
}

// On a sealed slope of 30 % 2,500 kg roll: W (0.30 - 0.008)/sqrt(1.09) = 6.857 kN must be held back.
func TestHoldBack(t *testing.T) {
	w := plan(t, Stuck{MassKg: 2500, Ground: geo.Sealed, Grade: -0.3}, loadedKit(), treeAt(12))
	if !w.Holds || w.Pull.CentralKN != 0 || math.Abs(w.Tackle.FallLineKN-6.857) > 0.001 || math.Abs(w.Anchor.NeedKN-6.857) > 0.001 {
		t.Errorf("holds %v, pull %.3f, fall line %.3f, anchor %.3f kN, want the line to hold 6.857 back", w.Holds, w.Pull.CentralKN, w.Tackle.FallLineKN, w.Anchor.NeedKN)
	}
	if !strings.Contains(strings.Join(w.Notes, " "), "rolls down by itself") {
		t.Errorf("notes are %q, want them to say that it rolls", w.Notes)
	}
}

func TestHelperWinch(t *testing.T) {
	s := Stuck{MassKg: 2000, Ground: geo.Sand, Depth: Sidewall}
	site := Site{DistanceM: 12, Helper: &Anchor{Kind: Vehicle, Name: "partner", MassKg: 3500, Ground: geo.FirmTrack, Chocked: true}}
	k := loadedKit()
	k.Gear = append(k.Gear, Gear{Key: "partner", Kind: FramePoint, Place: "partner", WLLKN: KN(5000)})
	w := plan(t, s, k, site)
	// 19.61 kN asked for; the helper stands with 0.5 x 34.32 = 17.16 kN: it slides, on any rig.
	if w.Holds {
		t.Fatalf("%s holds, want the helper to slide", w.Rig.Key)
	}
	site.Helper.MassKg = 4500 // 22.06 kN: enough for the single line
	w = plan(t, s, k, site)
	if !w.Holds || w.Rig.Key != "single" || !w.Rig.Helper || math.Abs(w.Anchor.NeedKN-19.613) > 0.001 || math.Abs(w.Anchor.Hold.KN-22.065) > 0.001 {
		t.Errorf("%s holds %v, anchor %.3f of %.3f kN (%s), want the single line with 19.613 of 22.065", w.Rig.Key, w.Holds, w.Anchor.NeedKN, w.Anchor.Hold.KN, w.Fails)
	}
	if p := w.link("far_point"); p.Gear == "" || math.Abs(p.ForceKN-19.613) > 0.001 {
		t.Errorf("the stuck vehicle's point bears %.3f kN with %q, want 19.613", p.ForceKN, p.Gear)
	}
	ids := ""
	for _, c := range w.Cautions {
		ids += c.ID + " "
	}
	if !strings.Contains(ids, "anchor_vehicle") {
		t.Errorf("cautions are %s, want the one for anchor vehicles", ids)
	}
}

func TestHandWinchAndBridle(t *testing.T) {
	s := Stuck{MassKg: 1500, Ground: geo.Sand}
	k := loadedKit()
	k.HandWinch, k.Winch = &Winch{RatedKN: KN(1600), Rope: Rope{Material: Steel, DiameterMM: 11, LengthM: 20}}, nil
	w := plan(t, s, k, treeAt(10))
	if !w.Holds || !w.Rig.Manual || w.Winch.Spool.PullKN != KN(1600) {
		t.Errorf("hand winch: %s holds %v with %.1f kN: %s", w.Rig.Key, w.Holds, w.Winch.Spool.PullKN, w.Fails)
	}
	// Two points of 20 kN each bear 31.3 kN only under a bridle: 31.283/(2 cos 30) = 18.06 kN each.
	s = hubDeep()
	s.Grade = 0
	k = loadedKit()
	k.Gear[5].WLLKN, k.Gear[6].WLLKN = 20, 20
	site := treeAt(11)
	site.MaxAdvantage = 2
	if w := plan(t, s, k, site); w.Holds {
		t.Error("a point of 20 kN bears 31.3 kN")
	}
	k.Gear = append(k.Gear, Gear{Key: "bridle", Kind: Bridle, WLLKN: 25, LengthM: 3})
	w = plan(t, s, k, site)
	if !w.Holds || math.Abs(w.link("near_point_1").ForceKN-18.061) > 0.001 {
		t.Errorf("with a bridle holds %v (%s), leg %.3f kN, want 18.061", w.Holds, w.Fails, w.link("near_point_1").ForceKN)
	}
}

func TestPlanRefusesBadInput(t *testing.T) {
	tab := tables(t)
	for _, r := range []struct {
		name string
		edit func(*Stuck, *Kit, *Site)
		want string
	}{
		{"900 t car", func(s *Stuck, _ *Kit, _ *Site) { s.MassKg = 900000 }, "mass: 900000 kg is outside 200 to 40000 kg"},
		{"negative mass", func(s *Stuck, _ *Kit, _ *Site) { s.MassKg = -1 }, "mass: -1 kg is outside"},
		{"zero mass", func(s *Stuck, _ *Kit, _ *Site) { s.MassKg = 0 }, "mass: 0 kg is outside"},
		{"mass not a number", func(s *Stuck, _ *Kit, _ *Site) { s.MassKg = math.NaN() }, "mass: is not a number, wanted 200 to 40000 kg"},
		{"wall", func(s *Stuck, _ *Kit, _ *Site) { s.Grade = 3 }, "grade: 3 "},
		{"infinite grade", func(s *Stuck, _ *Kit, _ *Site) { s.Grade = math.Inf(-1) }, "grade: -Inf"},
		{"0 mm rope", func(_ *Stuck, k *Kit, _ *Site) { k.Winch.Rope.DiameterMM = 0 }, "rope diameter: 0 mm is outside 3 to 40 mm"},
		{"wrong material", func(_ *Stuck, k *Kit, _ *Site) { k.Winch.Rope.Material = "hemp" }, `rope: "hemp" is not a rope material`},
		{"no pull", func(_ *Stuck, k *Kit, _ *Site) { k.Winch.RatedKN = 0 }, "winch rated pull: 0 kN is outside"},
		{"negative rating", func(_ *Stuck, k *Kit, _ *Site) { k.Gear[1].WLLKN = -5 }, "shackle working load limit: -5 kN"},
		{"odd kind", func(_ *Stuck, k *Kit, _ *Site) { k.Gear[1].Kind = "string" }, `"string" is not a kind of gear`},
		{"far anchor", func(_ *Stuck, _ *Kit, s *Site) { s.DistanceM = 1e6 }, "distance to the anchor: 1000000 m"},
		{"odd anchor", func(_ *Stuck, _ *Kit, s *Site) { s.Anchors[0].Kind = "cloud" }, `"cloud" is not a kind of anchor`},
		{"shallow deadman", func(_ *Stuck, _ *Kit, s *Site) {
			s.Anchors[0] = Anchor{Kind: Deadman, Soil: "loam", DepthM: 0.2, FaceM: 0.3, LengthM: 1}
		}, "deadman depth: 0.2 is less than 0.45 m"},
		{"two tackle rules", func(_ *Stuck, _ *Kit, s *Site) { s.Tackle = TackleModel{0.1, 0.9} }, "tackle model"},
		{"odd ground", func(s *Stuck, _ *Kit, _ *Site) { s.Ground = geo.NumGrounds }, "ground"},
	} {
		t.Run(r.name, func(t *testing.T) {
			s, k, site := hubDeep(), loadedKit(), treeAt(11)
			r.edit(&s, &k, &site)
			_, err := tab.Plan(s, k, site)
			var in *geo.InputError
			if !errors.As(err, &in) || !strings.Contains(err.Error(), r.want) {
				t.Errorf("Plan = %v, want an input error with %q", err, r.want)
			}
		})
	}
}

// drawStuck, drawKit and drawSite make plausible inputs.
func drawStuck(rt *rapid.T) Stuck {
	b := func(n string) bool { return rapid.IntRange(0, 5).Draw(rt, n) == 0 }
	return Stuck{MassKg: rapid.Float64Range(800, 6000).Draw(rt, "mass"), Ground: geo.Ground(rapid.IntRange(0, int(geo.NumGrounds)-1).Draw(rt, "ground")),
		Depth: Depth(rapid.IntRange(0, int(NumDepths)-1).Draw(rt, "depth")), Grade: rapid.Float64Range(-0.5, 0.6).Draw(rt, "grade"),
		Locked: b("locked"), Hung: b("hung"), OnSide: b("side"), InWater: b("water"), WheelsDriving: b("driving")}
}

func drawKit(rt *rapid.T) Kit {
	k := Kit{Winch: &Winch{RatedKN: rapid.Float64Range(15, 80).Draw(rt, "winch"), Rope: Rope{Material: rapid.SampledFrom([]Material{Steel, HMPE}).Draw(rt, "rope"),
		DiameterMM: rapid.Float64Range(8, 12.5).Draw(rt, "d"), LengthM: rapid.Float64Range(15, 40).Draw(rt, "length")}}}
	n := rapid.IntRange(0, 14).Draw(rt, "pieces")
	for range n {
		k.Gear = append(k.Gear, drawGear(rt))
	}
	return k
}

func drawGear(rt *rapid.T) Gear {
	g := Gear{Kind: rapid.SampledFrom(Kinds).Draw(rt, "kind"), Count: rapid.IntRange(0, 3).Draw(rt, "count"), Place: rapid.SampledFrom([]string{"", "front", "rear", "partner"}).Draw(rt, "place")}
	switch rapid.IntRange(0, 3).Draw(rt, "rating") {
	case 0:
		g.MBSKN = rapid.Float64Range(20, 400).Draw(rt, "mbs")
	case 1, 2:
		g.WLLKN = rapid.Float64Range(10, 200).Draw(rt, "wll")
	}
	if g.Kind.class() == classStrap {
		g.LengthM = rapid.Float64Range(2, 20).Draw(rt, "strap")
	}
	if g.Kind == Block && rapid.Bool().Draw(rt, "known sheave") {
		g.SheaveMM = rapid.Float64Range(40, 200).Draw(rt, "sheave")
	}
	return g
}

func drawSite(rt *rapid.T) Site {
	s := Site{DistanceM: rapid.Float64Range(5, 40).Draw(rt, "distance")}
	all := []Anchor{{Kind: Tree, TrunkMM: 400}, {Kind: Rock}, {Kind: Vehicle, MassKg: 3000, Ground: geo.Gravel, Chocked: true}, {Kind: Pickets, Soil: "loam", Picket: "3-2-1"},
		{Kind: Deadman, Soil: "loam", DepthM: 1.3, Slope: 0.4, FaceM: 0.3, LengthM: 1.4, Log: true}, {Kind: SpareWheel, Soil: "sand", DepthM: 0.8, FaceM: 0.8}}
	for _, a := range all {
		if rapid.Bool().Draw(rt, string(a.Kind)) {
			s.Anchors = append(s.Anchors, a)
		}
	}
	return s
}

func TestPullProperties(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(rt *rapid.T) {
		s := drawStuck(rt)
		p, err := tab.RequiredPull(s)
		if err != nil {
			rt.Fatal(err)
		}
		if !(0 <= p.LowKN && p.LowKN <= p.CentralKN && p.CentralKN <= p.HighKN && p.HoldBackKN >= 0) {
			rt.Fatalf("%s asks for %.2f, %.2f, %.2f kN, want them in order", s, p.LowKN, p.CentralKN, p.HighKN)
		}
		more := s
		what := ""
		switch rapid.IntRange(0, 5).Draw(rt, "more") {
		case 0:
			if s.Grade < 0 {
				return // downhill more mass rolls more easily
			}
			more.MassKg *= 1.1
			what = "mass"
		case 1:
			if s.Depth == Body {
				return
			}
			more.Depth++
			what = "depth"
		case 2:
			more.Grade = min(1, s.Grade+0.1)
			what = "grade"
		case 3:
			more.Locked = true
			what = "locked wheels"
		case 4:
			more.Hung = true
			what = "being hung up"
		case 5:
			more.OnSide = true
			what = "lying on its side"
		}
		q, _ := tab.RequiredPull(more)
		if q.LowKN < p.LowKN-1e-9 || q.CentralKN < p.CentralKN-1e-9 || q.HighKN < p.HighKN-1e-9 {
			rt.Fatalf("more %s lowers the pull from %v to %v kN (%s)", what, []float64{p.LowKN, p.CentralKN, p.HighKN}, []float64{q.LowKN, q.CentralKN, q.HighKN}, s)
		}
	})
}

func TestSheaveProperty(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(rt *rapid.T) {
		load, ma, extra := rapid.Float64Range(1, 300).Draw(rt, "load"), rapid.IntRange(1, 6).Draw(rt, "parts"), rapid.IntRange(0, 2).Draw(rt, "turns")
		m := rapid.SampledFrom([]TackleModel{{}, {PerSheave: 0.05}, {Efficiency: 0.98}, {Efficiency: 0.9}}).Draw(rt, "model")
		a := tab.Tackle(load, ma, ma-1+extra, m)
		b := tab.Tackle(load, ma+1, ma+extra, m)
		lossOfOne := (b.LossKN - a.LossKN) / float64(ma+1)
		if b.FallLineKN > a.FallLineKN+max(0, lossOfOne)+1e-9 {
			rt.Fatalf("a further part of line raises the fall line from %.3f to %.3f kN, beyond its loss", a.FallLineKN, b.FallLineKN)
		}
		if math.Abs(a.TotalKN-a.LossKN-load) > 1e-9*load || math.Abs(a.DeadLineKN(ma)-a.TotalKN) > 1e-9*load {
			rt.Fatalf("the sums of %+v do not close", a)
		}
	})
}

// The answer must not depend on the order of the kit or of the anchors.
func TestOrderDoesNotMatter(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(rt *rapid.T) {
		s, k, site := drawStuck(rt), drawKit(rt), drawSite(rt)
		a, err := tab.Plan(s, k, site)
		if err != nil {
			rt.Fatal(err)
		}
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 1))
		k.Gear, site.Anchors = slices.Clone(k.Gear), slices.Clone(site.Anchors)
		r.Shuffle(len(k.Gear), func(i, j int) { k.Gear[i], k.Gear[j] = k.Gear[j], k.Gear[i] })
		r.Shuffle(len(site.Anchors), func(i, j int) { site.Anchors[i], site.Anchors[j] = site.Anchors[j], site.Anchors[i] })
		b, _ := tab.Plan(s, k, site)
		x, err := json.Marshal(a)
		if err != nil {
			rt.Fatalf("the working cannot be written: %v", err)
		}
		y, _ := json.Marshal(b)
		if string(x) != string(y) {
			rt.Fatalf("another order gives another answer:\n%s", cmp.Diff(string(x), string(y)))
		}
	})
}

// Weakening a piece never raises a margin; adding one never lowers the best.
func TestMarginProperties(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(rt *rapid.T) {
		s, k, site := drawStuck(rt), drawKit(rt), drawSite(rt)
		a, err := tab.Plan(s, k, site)
		if err != nil {
			rt.Fatal(err)
		}
		if a.Holds != (a.BestMargin >= 1) || a.Holds && a.BestMargin < a.Margin-1e-9 {
			rt.Fatalf("holds %v with margin %.4f, best %.4f", a.Holds, a.Margin, a.BestMargin)
		}
		r, err := tab.Rigger(k, site)
		if err != nil {
			rt.Fatal(err)
		}
		if _, _, err := r.Short(drawStuck(rt)); err != nil { // what it did before must not matter
			rt.Fatal(err)
		}
		margin, fails, err := r.Short(s)
		if err != nil || a.Holds && fails != "" || !a.Holds && (fails != a.Fails || math.Abs(margin-a.Margin) > 1e-9) {
			rt.Fatalf("in short: margin %.4f, fails by %q (%v); the plan holds %v with %.4f and fails by %q", margin, fails, err, a.Holds, a.Margin, a.Fails)
		}
		again, err := r.Plan(s)
		if err != nil {
			rt.Fatal(err)
		}
		before, _ := json.Marshal(a)
		if after, err := json.Marshal(again); err != nil || !bytes.Equal(before, after) {
			rt.Fatalf("planned again (%v) it is another plan", err)
		}
		c, err := r.Capacity()
		if p := a.Pull.CentralKN; err != nil || p > 2 && c > 1 && c < MostMargin && (a.Holds != (c > p) || a.Holds && math.Abs(a.BestMargin-c/p) > 1e-6) {
			rt.Fatalf("capacity %.4f kN (%v) against %.4f kN: plan holds %v with best margin %.4f", c, err, p, a.Holds, a.BestMargin)
		}
		if len(k.Gear) > 0 {
			w := k
			w.Gear = slices.Clone(k.Gear)
			i := rapid.IntRange(0, len(k.Gear)-1).Draw(rt, "which")
			f := rapid.Float64Range(0.5, 1).Draw(rt, "weaker")
			w.Gear[i].WLLKN *= f
			w.Gear[i].MBSKN *= f
			b, err := tab.Plan(s, w, site)
			if err != nil {
				rt.Fatal(err)
			}
			if b.BestMargin > a.BestMargin+1e-9 {
				rt.Fatalf("a weaker %s raises the best margin from %.4f to %.4f", k.Gear[i].Kind, a.BestMargin, b.BestMargin)
			}
			for i := range b.Tried {
				if b.Tried[i].Holds && b.Tried[i].Margin > a.Tried[i].Margin+1e-9 {
					rt.Fatalf("a weaker piece raises the margin of %s from %.4f to %.4f", b.Tried[i].Rig.Key, a.Tried[i].Margin, b.Tried[i].Margin)
				}
			}
		}
		m := k
		m.Gear = append(slices.Clone(k.Gear), drawGear(rt))
		b, err := tab.Plan(s, m, site)
		if err != nil {
			rt.Fatal(err)
		}
		if b.BestMargin < a.BestMargin-1e-9 {
			rt.Fatalf("an added %s lowers the best margin from %.4f to %.4f", m.Gear[len(m.Gear)-1].Kind, a.BestMargin, b.BestMargin)
		}
	})
}

func TestUnitsRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.Float64Range(1e-3, 1e6).Draw(rt, "v")
		for name, got := range map[string]float64{"kg": Kg(KN(v)), "lbf": KNToLbf(LbfToKN(v)), "psi": KPaToPsi(PsiToKPa(v))} {
			if math.Abs(got-v) > 1e-12*v {
				rt.Fatalf("%g %s come back as %g", v, name, got)
			}
		}
	})
	// International definitions: 1 psi = 6.894757 kPa, 1 lbf = 4.448222 N, 1 lbf/ft2 = 47.88026 Pa.
	compare(t, []row{{"psi", PsiToKPa(1), 6.894757, 1e-6}, {"lbf", 1000 * LbfToKN(1), 4.448222, 1e-6}, {"lbf/ft2", 1000 * kPaPerPsf, 47.88026, 1e-5}})
}

func TestDiagram(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(rt *rapid.T) {
		site := drawSite(rt)
		if rapid.Bool().Draw(rt, "helper") {
			site.Helper = &Anchor{Kind: Vehicle, MassKg: 4000, Ground: geo.Gravel}
		}
		if rapid.IntRange(0, 3).Draw(rt, "turn") == 0 {
			site.Turn = &Turn{AngleDeg: rapid.Float64Range(0, 180).Draw(rt, "angle"), DistanceM: 5, Anchor: Anchor{Kind: Rock}}
		}
		w, err := tab.Plan(drawStuck(rt), drawKit(rt), site)
		if err != nil {
			rt.Fatal(err)
		}
		d := w.Diagram()
		lines := 0
		seen := map[string]bool{}
		for _, n := range d.Nodes {
			if seen[n.Key] {
				rt.Fatalf("%s: node %s stands twice", w.Rig.Key, n.Key)
			}
			seen[n.Key] = true
		}
		for _, l := range d.Legs {
			if !seen[l.From] || !seen[l.To] {
				rt.Fatalf("%s: leg from %s to %s ends nowhere", w.Rig.Key, l.From, l.To)
			}
			if l.Kind == "winch_line" {
				lines++
				if l.ForceKN != w.Tackle.FallLineKN {
					rt.Fatalf("a part of the winch line carries %.2f kN, the fall line is %.2f", l.ForceKN, w.Tackle.FallLineKN)
				}
			}
			if math.IsNaN(l.AngleDeg) || l.X1 == l.X2 && l.Y1 == l.Y2 {
				rt.Fatalf("%s: leg %+v has no direction", w.Rig.Key, l)
			}
		}
		want := w.Rig.Advantage
		if w.Rig.Turn {
			want = 2
		}
		if lines != want {
			rt.Fatalf("%s shows %d parts of winch line, want %d", w.Rig.Key, lines, want)
		}
	})
	if d := plan(t, hubDeep(), Kit{}, Site{}).Diagram(); len(d.Nodes) != 0 {
		t.Error("a plan without a winch draws a rig")
	}
}

func BenchmarkCapacity(b *testing.B) {
	tab, k, site := tables(b), loadedKit(), treeAt(13)
	b.ReportAllocs()
	for b.Loop() {
		r, err := tab.Rigger(k, site)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := r.Capacity(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPlan(b *testing.B) {
	tab, k, s, site := tables(b), loadedKit(), hubDeep(), treeAt(13)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := tab.Plan(s, k, site); err != nil {
			b.Fatal(err)
		}
	}
}

// Locked wheels: one source adds 75 % of the weight, which only widens the band: 0.33 W + 0.75 W on grass.
func TestLockedWheelsWidenTheBand(t *testing.T) {
	p := pullOf(t, tables(t), Stuck{MassKg: 2000, Ground: geo.Grass, Locked: true})
	w := KN(2000)
	compare(t, []row{{"low", p.LowKN, 2 * w / 3, 1e-4}, {"central", p.CentralKN, 2 * w / 3, 1e-4}, {"high", p.HighKN, (0.666667 + 0.75) * w, 1e-4}})
}

// An extension as long as the way cannot be drawn tight: of 20 m and 9 m only the second serves at 20 m
// (20 - 3 m of travel is less than 20), and of many straps the strongest are looked at.
func TestExtensions(t *testing.T) {
	s := Stuck{MassKg: 2000, Ground: geo.Grass}
	k := loadedKit()
	k.Winch.Rope.LengthM = 16
	site := treeAt(20)
	site.MaxAdvantage = 1
	k.Gear[4].LengthM = 20
	if w := plan(t, s, k, site); w.Holds || w.Line.ShortM == 0 {
		t.Errorf("a strap of 20 m serves on a way of 20 m (%s)", w.Fails)
	}
	k.Gear[4].LengthM = 9
	w := plan(t, s, k, site)
	// 20 - 9 = 11 m off the drum.
	if !w.Holds || w.Line.NeededM != 11 || w.Line.ExtensionM != 9 {
		t.Errorf("holds %v (%s) with %.1f m of line and %.1f m of extension, want 11 and 9", w.Holds, w.Fails, w.Line.NeededM, w.Line.ExtensionM)
	}
	for range 9 {
		k.Gear = append(k.Gear, Gear{Kind: Strap, LengthM: 9, WLLKN: 1})
	}
	if w := plan(t, s, k, site); !w.Holds {
		t.Errorf("nine weak straps beside a good one break the plan: %s", w.Fails)
	}
}

// The cure of a short line names the way by which the anchor must come nearer: the shortage over the parts.
func TestCureOfAShortLine(t *testing.T) {
	k := loadedKit()
	k.Gear = slices.Delete(k.Gear, 4, 5)
	s := hubDeep()
	s.Grade = 0
	site := treeAt(16)
	site.MaxAdvantage = 2
	w := plan(t, s, k, site)
	// 32 m for two parts, 25.644 m may leave the drum: 6.356 m short, 3.178 m nearer.
	for _, c := range w.Cures {
		if c.Check == "line" {
			if math.Abs(c.NeedM-3.178) > 0.001 || !strings.Contains(c.Text, "3.2 m nearer") {
				t.Errorf("the cure is %.3f m (%s), want 3.178", c.NeedM, c.Text)
			}
			return
		}
	}
	t.Errorf("%s has no cure for its line: %v", w.Rig.Key, w.Cures)
}

// The capacity is that of the best rig, here two parts of line, and not of the last one that can be laid.
// At 11 m two parts leave the winch on layer 2 with 32.680 kN: 32.680 x 2/1.1 = 59.419 kN. Three parts put
// two thirds of the total on the point of 45 kN: 45 x (3/2)/1.2 = 56.25 kN.
func TestCapacityIsTheBest(t *testing.T) {
	k := loadedKit()
	k.Gear[0].WLLKN = KN(20000)
	k.Gear[1] = Gear{Key: "shackle", Kind: Shackle, Count: 9, WLLKN: KN(20000)}
	k.Gear[5].WLLKN, k.Gear[6].WLLKN = 45, 45
	k.Gear[3].MBSKN, k.Gear[4].MBSKN = KN(60000), KN(60000)
	r, err := tables(t).Rigger(k, treeAt(11))
	if err != nil {
		t.Fatal(err)
	}
	c, err := r.Capacity()
	if err != nil || math.Abs(c-59.419) > 0.001 {
		t.Errorf("capacity %.3f kN (%v), want 59.419", c, err)
	}
	w := plan(t, Stuck{MassKg: 5000, Ground: geo.Mud, Depth: Sidewall}, k, treeAt(11))
	if !w.Tried[2].Holds || math.Abs(w.Tried[2].Margin*w.Pull.CentralKN-56.25) > 0.001 {
		t.Errorf("three parts hold %v up to %.3f kN (%s), want 56.25", w.Tried[2].Holds, w.Tried[2].Margin*w.Pull.CentralKN, w.Tried[2].Fails)
	}
}
