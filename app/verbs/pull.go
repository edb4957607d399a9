package verbs

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"lastroad/app/bench"
	"lastroad/assets"
	"lastroad/geo"
	"lastroad/risk/recovery"
)

const pullHelp = `Work out one recovery from figures given: the pull, the rig, the lines, every part of the chain, the anchor.

A bare force is kilograms; 42kN, 4.75t and 9500lb are understood too. A bare rating is the working load on shackles, blocks, hooks, slings and points, and the breaking strength on straps, ropes and soft shackles; wll: or mbs: in front says otherwise. x2 behind a rating is two pieces, :9 behind a strap or rope its length in metres. A part without a rating bears nothing.

Example: lastroad pull --mass 2900 --ground mud --depth hub --grade 12 --winch 4310 --rope hmpe:11 --line 28 --distance 12 --anchor tree:400 --block 8000 --shackle 8500x3 --tree-strap 12000:3 --point front:5000

All figures are estimates for planning. Makers' ratings, local rules and trained people come first.`

// pullArgs are the flags of the pull verb.
type pullArgs struct {
	Mass          float64 `required:"" help:"Loaded mass of the stuck vehicle, kg." placeholder:"KG" group:"What is stuck"`
	Ground        string  `default:"unknown" enum:"sealed,gravel,firm_track,clay,mud,sand,loose_rock,ledge_rock,scrub,grass,snow,salt,ford,unknown" help:"Ground: sealed, gravel, firm_track, clay, mud, sand, loose_rock, ledge_rock, scrub, grass, snow, salt, ford or unknown." group:"What is stuck"`
	Depth         string  `default:"tread" enum:"tread,sidewall,hub,axle,body" help:"How deep: tread, sidewall, hub, axle or body." group:"What is stuck"`
	Grade         float64 `help:"Grade in the direction of the pull, per cent; negative = downhill." placeholder:"PERCENT" group:"What is stuck"`
	Locked        bool    `help:"Its wheels cannot turn." group:"What is stuck"`
	HungUp        bool    `help:"It hangs on rock." group:"What is stuck"`
	OnSide        bool    `help:"It lies on its side." group:"What is stuck"`
	InWater       bool    `help:"It stands in water." group:"What is stuck"`
	WheelsDriving bool    `help:"Its own wheels can drive along." group:"What is stuck"`

	Winch      string  `help:"Rated pull of the winch on the first layer of rope." placeholder:"FORCE" group:"Winch"`
	Rope       string  `help:"Winch rope: hmpe:MM or steel:MM, with :BREAKING when it is marked." placeholder:"ROPE" group:"Winch"`
	Line       float64 `help:"Length of the winch rope, m." placeholder:"M" group:"Winch"`
	RopeEnd    string  `help:"End of the rope: splice, pressed, clips or knot." placeholder:"END" group:"Winch"`
	Drum       string  `help:"Drum: diameter x width between the flanges, mm (64x224)." placeholder:"MMxMM" group:"Winch"`
	Wraps      int     `help:"Wraps that stay on the drum (default by rope)." placeholder:"N" group:"Winch"`
	WinchPlace string  `help:"End of the vehicle the winch pulls from: front or rear." placeholder:"END" group:"Winch"`
	Amps       float64 `help:"Current at rated pull, A." placeholder:"A" group:"Winch"`
	Battery    float64 `help:"Battery capacity, Ah." placeholder:"AH" group:"Winch"`
	HandWinch  string  `help:"Rated pull of a hand winch, with :METRES of rope." placeholder:"FORCE:M" group:"Winch"`
	Helper     string  `help:"The winch stands on this second vehicle: KG,ground=GROUND,chocked." placeholder:"KG" group:"Winch"`

	Shackle     []string `help:"Shackle by its stamp." placeholder:"RATING" sep:"none" group:"Gear (may be given several times)"`
	SoftShackle []string `help:"Soft shackle." placeholder:"RATING" sep:"none" group:"Gear (may be given several times)"`
	Hook        []string `help:"Hook of the line." placeholder:"RATING" sep:"none" group:"Gear (may be given several times)"`
	Block       []string `help:"Block; @MM behind is its sheave." placeholder:"RATING" sep:"none" group:"Gear (may be given several times)"`
	Blocks      int      `help:"Number of blocks of the rating given with --block, which must be given too." placeholder:"N" group:"Gear (may be given several times)"`
	TreeStrap   []string `help:"Tree strap." placeholder:"RATING:M" sep:"none" group:"Gear (may be given several times)"`
	Strap       []string `help:"Static strap." placeholder:"RATING:M" sep:"none" group:"Gear (may be given several times)"`
	ExtRope     []string `help:"Static extension rope." placeholder:"RATING:M" sep:"none" group:"Gear (may be given several times)"`
	Sling       []string `help:"Sling." placeholder:"RATING:M" sep:"none" group:"Gear (may be given several times)"`
	Chain       []string `help:"Chain." placeholder:"RATING:M" sep:"none" group:"Gear (may be given several times)"`
	Bridle      []string `help:"Bridle, rated for each leg." placeholder:"RATING" sep:"none" group:"Gear (may be given several times)"`
	Point       []string `help:"Recovery point: [frame|bolted|receiver|tiedown|bumper|towball:][front|rear|partner:]RATING." placeholder:"POINT" sep:"none" group:"Gear (may be given several times)"`
	Damper      bool     `help:"A line damper is at hand." group:"Gear (may be given several times)"`

	Distance  float64  `help:"From the vehicle to the anchor or turning block, m." placeholder:"M" group:"Site"`
	Travel    float64  `help:"How far the vehicle must be drawn, m." placeholder:"M" group:"Site"`
	Anchor    []string `help:"tree:400 (mm), rock, vehicle:3000,ground=gravel,chocked, pickets:loam,set=3-2-1, ground-anchor:2000,soil=loam, spare-wheel:loam,depth=0.9,face=0.8 or deadman:loam,depth=1.2,slope=1:2,face=0.25,length=1.5,log. Soils: loam, clay, sand, wet, hard." placeholder:"ANCHOR" sep:"none" group:"Site"`
	Turn      string   `help:"Turning block: ANGLE between the legs in degrees : METRES on to the anchor : its own ANCHOR." placeholder:"DEG:M:ANCHOR" group:"Site"`
	Tackle    string   `help:"Loss in sheaves: per-sheave:0.10 (default) or efficiency:0.98." placeholder:"RULE" group:"Site"`
	Advantage int      `help:"Most parts of line to try, 1 to 4." placeholder:"N" group:"Site"`

	People int    `default:"2" help:"People who dig." group:"Beside the winch"`
	Spades int    `default:"1" help:"Spades." group:"Beside the winch"`
	Tug    string `help:"A second vehicle that could pull on a static strap: KG,ground=GROUND." placeholder:"KG" group:"Beside the winch"`

	JSON    bool `help:"Write JSON, schema 1; forces in kN, lengths in m, masses in kg." group:"Output"`
	Sources bool `help:"Name the source of every caution." group:"Output"`
	Fail    bool `help:"Exit with 1 when the plan does not hold." group:"Output"`
}

// PullReport is what the pull verb writes as JSON.
type PullReport = bench.Report

// Pull answers "lastroad pull" with args (without the verb). It prints the working to stdout; bad input
// is one line on stderr. Exit status: 0, or 1 with --fail when the plan does not hold, or 2 for bad input.
func Pull(args []string, stdout, stderr io.Writer) int {
	s := Streams{Out: stdout, Err: stderr}
	var a pullArgs
	if status, done := parse("pull", pullHelp, &a, args, s); done {
		return status
	}
	data, file := assets.Table("recovery")
	tab, err := recovery.ParseTables(data, file)
	if err != nil {
		return fail(s, err)
	}
	r, err := a.report(tab)
	if err != nil {
		return fail(s, fmt.Errorf("pull: %w", err))
	}
	out := bufio.NewWriter(stdout)
	if a.JSON {
		e := json.NewEncoder(out)
		e.SetIndent("", "  ")
		e.SetEscapeHTML(false)
		err = e.Encode(r)
	} else {
		writePull(out, r, a.Sources)
	}
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		return fail(s, err)
	}
	if a.Fail && !r.Holds {
		return Findings
	}
	return Done
}

// report works the recovery out.
func (a *pullArgs) report(tab *recovery.Tables) (*PullReport, error) {
	stuck, err := a.stuck()
	if err != nil {
		return nil, err
	}
	kit, err := a.kit()
	if err != nil {
		return nil, err
	}
	site, err := a.site(stuck.Ground)
	if err != nil {
		return nil, err
	}
	ask := bench.Ask{Stuck: stuck, Kit: kit, Site: site, People: a.People, Spades: a.Spades}
	if a.Tug != "" {
		v, err := anchor("tug", "vehicle:"+a.Tug, stuck.Ground)
		if err != nil {
			return nil, err
		}
		ask.Tug = &v
	}
	return bench.Work(tab, ask)
}

func (a *pullArgs) stuck() (recovery.Stuck, error) {
	s := recovery.Stuck{MassKg: a.Mass, Grade: a.Grade / 100, Locked: a.Locked, Hung: a.HungUp, OnSide: a.OnSide, InWater: a.InWater, WheelsDriving: a.WheelsDriving}
	var ok bool
	if s.Ground, ok = geo.ParseGround(strings.ToLower(a.Ground)); !ok {
		return s, badWord("ground", a.Ground, "is not a ground", "use one of "+strings.Join(groundKeys(), ", "))
	}
	if s.Depth, ok = recovery.ParseDepth(strings.ToLower(a.Depth)); !ok {
		return s, badWord("depth", a.Depth, "is not a depth", "use tread, sidewall, hub, axle or body")
	}
	return s, nil
}

func (a *pullArgs) kit() (recovery.Kit, error) {
	var k recovery.Kit
	if a.Winch != "" {
		if a.Rope == "" || a.Line == 0 {
			return k, badWord("winch", a.Winch, "its rope is not given", "add --rope hmpe:10 (or steel:9) and --line with its length in metres")
		}
		r, err := rope(a.Rope, a.Line, a.RopeEnd)
		if err != nil {
			return k, err
		}
		w := &recovery.Winch{Rope: r, Wraps: a.Wraps, Place: strings.ToLower(a.WinchPlace), AmpsRated: a.Amps, BatteryAh: a.Battery}
		if w.RatedKN, err = forceKN("winch", a.Winch); err != nil {
			return k, err
		}
		if a.Drum != "" {
			d, width, ok := strings.Cut(strings.ToLower(a.Drum), "x")
			if !ok {
				return k, badWord("drum", a.Drum, "is not a drum", "write diameter x width in mm, like 64x224")
			}
			if w.DrumMM, err = number("drum", d); err != nil {
				return k, err
			}
			if w.DrumWidthMM, err = number("drum", width); err != nil {
				return k, err
			}
			if w.DrumMM == 0 || w.DrumWidthMM == 0 {
				return k, badWord("drum", a.Drum, "is not a drum", "write diameter x width in mm, like 64x224")
			}
		}
		k.Winch = w
	} else if a.Rope != "" || a.Line != 0 {
		return k, badWord("rope", a.Rope, "is given without a winch", "add --winch with its rated pull")
	}
	if a.HandWinch != "" {
		f, m, ok := strings.Cut(a.HandWinch, ":")
		if !ok {
			return k, badWord("hand-winch", a.HandWinch, "its rope is not given", "write it like 1600:20 (rated pull and metres of rope)")
		}
		pull, err := forceKN("hand-winch", f)
		if err != nil {
			return k, err
		}
		length, err := lengthM("hand-winch", m)
		if err != nil {
			return k, err
		}
		// Its rope is the maker's part of it: as strong as the mark asks for with the design factor of slings.
		k.HandWinch = &recovery.Winch{RatedKN: pull, Manual: true, Rope: recovery.Rope{Material: recovery.Steel, DiameterMM: 11, LengthM: length, MBSKN: 5 * pull}}
	}
	for _, l := range []struct {
		flag string
		kind recovery.Kind
		list []string
	}{{"shackle", recovery.Shackle, a.Shackle}, {"soft-shackle", recovery.SoftShackle, a.SoftShackle}, {"hook", recovery.Hook, a.Hook}, {"block", recovery.Block, a.Block},
		{"tree-strap", recovery.TreeStrap, a.TreeStrap}, {"strap", recovery.Strap, a.Strap}, {"ext-rope", recovery.ExtRope, a.ExtRope}, {"sling", recovery.Sling, a.Sling},
		{"chain", recovery.Chain, a.Chain}, {"bridle", recovery.Bridle, a.Bridle}} {
		for _, text := range l.list {
			g, err := gear(l.flag, l.kind, text)
			if err != nil {
				return k, err
			}
			k.Gear = append(k.Gear, g)
		}
	}
	if a.Blocks != 0 {
		switch {
		case a.Blocks < 0 || a.Blocks > 20:
			return k, badWord("blocks", fmt.Sprint(a.Blocks), "is outside 1 to 20", "")
		case len(a.Block) > 1:
			return k, badWord("blocks", fmt.Sprint(a.Blocks), "does not go with several --block", "write the number behind each rating: --block 8000x2")
		case len(a.Block) == 0:
			return k, badWord("blocks", fmt.Sprint(a.Blocks), "has no rating, and a block without one bears nothing", fmt.Sprintf("add --block with the working load stamped on it: --block 8000 --blocks %d; write --block unknown where no stamp can be read", a.Blocks))
		default:
			k.Gear[len(a.Shackle)+len(a.SoftShackle)+len(a.Hook)].Count = a.Blocks
		}
	}
	for _, text := range a.Point {
		g, err := point(text)
		if err != nil {
			return k, err
		}
		k.Gear = append(k.Gear, g)
	}
	if a.Damper {
		k.Gear = append(k.Gear, recovery.Gear{Kind: recovery.Damper})
	}
	return k, nil
}

func (a *pullArgs) site(ground geo.Ground) (recovery.Site, error) {
	s := recovery.Site{DistanceM: a.Distance, TravelM: a.Travel, MaxAdvantage: a.Advantage}
	for _, text := range a.Anchor {
		one, err := anchor("anchor", text, ground)
		if err != nil {
			return s, err
		}
		s.Anchors = append(s.Anchors, one)
	}
	if a.Helper != "" {
		v, err := anchor("helper", "vehicle:"+a.Helper, ground)
		if err != nil {
			return s, err
		}
		v.Name = "winch vehicle"
		s.Helper = &v
	}
	if a.Turn != "" {
		parts := strings.SplitN(a.Turn, ":", 3)
		if len(parts) != 3 {
			return s, badWord("turn", a.Turn, "is not a turning block", "write angle, metres and anchor, like 90:8:tree:400")
		}
		t := &recovery.Turn{}
		var err error
		if t.AngleDeg, err = number("turn", parts[0]); err != nil {
			return s, err
		}
		if t.DistanceM, err = lengthM("turn", parts[1]); err != nil {
			return s, err
		}
		if t.Anchor, err = anchor("turn", parts[2], ground); err != nil {
			return s, err
		}
		s.Turn = t
	}
	if a.Tackle != "" {
		rule, value, _ := strings.Cut(a.Tackle, ":")
		v, err := number("tackle", value)
		if err != nil {
			return s, err
		}
		switch rule {
		case "per-sheave":
			s.Tackle.PerSheave = v
		case "efficiency":
			s.Tackle.Efficiency = v
		default:
			return s, badWord("tackle", a.Tackle, "is not a rule", "use per-sheave:0.10 or efficiency:0.98")
		}
		if v == 0 {
			return s, badWord("tackle", a.Tackle, "a sheave without loss does not exist", "")
		}
	}
	return s, nil
}
