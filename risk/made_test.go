package risk

import (
	"math"
	"testing"
	"time"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/risk/catalogue"
)

// stretch is one part of a made-up route.
type stretch struct {
	km    float64
	mix   geo.GroundMix
	grade float64
	road  float64 // straight and driving km to a maintained road at its end; it changes evenly
}

func pure(g geo.Ground) geo.GroundMix { return geo.Pure(g, "made for a test") }

func unknownMix() geo.GroundMix {
	m := geo.GroundMix{Reason: "track without tags"}
	m.P[geo.Gravel], m.P[geo.FirmTrack], m.P[geo.Clay], m.P[geo.Sand], m.P[geo.LooseRock] = .15, .45, .2, .1, .1
	return m
}

// made builds a survey of evenly spaced samples along a straight made-up line, one leg per stretch.
func made(parts ...stretch) *geo.Survey { return madeBy(50, parts...) }

// madeBy is made with another spacing of the samples, in metres.
func madeBy(stepM float64, parts ...stretch) *geo.Survey {
	s := &geo.Survey{StepM: stepM}
	index := map[geo.GroundMix]uint16{}
	at, drive, road := 0.0, 0.0, 0.0
	add := func(p stretch, g uint16) {
		q := geo.Sample{DistanceM: at, Lon: 10 + at/1e5, Lat: 25, Way: -1, Ground: g, InRegion: true, HeightM: 500, Grade: p.grade, Side: 0.03,
			RoadM: road * 1000, DriveM: road * 1200, DriveMin: road * 1.2 / 25 * 60, WalkMin: road / 4 * 60, DriveS: drive, Kept: p.mix.P[geo.Sealed] == 1}
		for k := range q.HelpM {
			q.HelpM[k], q.HelpAt[k] = math.NaN(), -1
		}
		q.HelpM[geo.HelpSettlement], q.HelpM[geo.HelpFuel] = 1000*(5+road), 1000*(5+road)
		s.Samples = append(s.Samples, q)
	}
	for _, p := range parts {
		g, ok := index[p.mix]
		if !ok {
			g = uint16(len(s.Grounds))
			index[p.mix] = g
			s.Grounds = append(s.Grounds, p.mix)
		}
		from := len(s.Samples) - 1
		if from < 0 {
			add(p, g)
			from = 0
		} else {
			s.Samples[from].Ground, s.Samples[from].Grade = g, p.grade
		}
		n := int(p.km*1000/s.StepM + 0.5)
		start := road
		speed := 60.0
		if p.mix.P[geo.Sealed] != 1 {
			speed = 25
		}
		for i := 1; i <= n; i++ {
			at += s.StepM
			drive += s.StepM / (speed / 3.6)
			road = start + (p.road-start)*float64(i)/float64(n)
			add(p, g)
		}
		s.Legs = append(s.Legs, geo.Leg{From: from, To: len(s.Samples) - 1, Why: "made"})
	}
	return s
}

// desert is a made-up day out: road, gravel, firm track, sand, an unknown stretch, rock, back to the road.
func desert() *geo.Survey {
	s := made(stretch{20, pure(geo.Sealed), 0, 0}, stretch{25, pure(geo.Gravel), 0.02, 15}, stretch{30, pure(geo.FirmTrack), 0.03, 40},
		stretch{12, pure(geo.Sand), 0.05, 45}, stretch{18, unknownMix(), 0.01, 35}, stretch{6, pure(geo.LooseRock), 0.16, 30},
		stretch{15, pure(geo.Clay), 0, 12}, stretch{10, pure(geo.Gravel), -0.03, 0})
	s.Marks = append(s.Marks, geo.Mark{Kind: geo.MarkFord, DistanceM: 70100, Detail: "ford=yes"})
	return s
}

var loaded *catalogue.Catalogue

func cat(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	if loaded == nil {
		c, err := catalogue.Load(assets.Table)
		if err != nil {
			t.Fatal(err)
		}
		loaded = c
	}
	return loaded
}

func family() Party {
	return Party{
		Vehicle: Vehicle{Class: "wagon_mid_diesel", HasFrontPoint: true, FrontPointKN: 40, HasRearPoint: true, RearPointKN: 40, AgeY: 9},
		People: []Person{{Name: "A", AgeY: 41, Driver: true, Skills: []string{"tyre_repair", "digging_out", "first_aid", "navigation"}},
			{Name: "B", AgeY: 43, Driver: true, Skills: []string{"mechanic", "driving_sand"}}, {Name: "C", AgeY: 11}, {Name: "D", AgeY: 8}},
	}
}

func load(items ...any) []LoadItem {
	var out []LoadItem
	for i := 0; i < len(items); i += 2 {
		n := 0.0
		switch v := items[i+1].(type) {
		case int:
			n = float64(v)
		case float64:
			n = v
		}
		out = append(out, LoadItem{Item: items[i].(string), Count: n})
	}
	return out
}

func usualLoad() []LoadItem {
	return load("spare_wheel", 1, "jack", 1, "jack_base", 1, "wheel_brace", 1, "compressor", 1, "pressure_gauge", 1, "tyre_plug", 10, "plug_tools", 1,
		"shovel", 1, "boards", 2, "soft_shackle", 2, "kinetic_strap", 1, "gloves", 2, "damper", 1, "jump_leads", 1, "fuses", 5, "wire", 1, "insulating_tape", 1,
		"repair_tape", 2, "hose_clamps", 4, "coolant", 5, "belt", 1, "engine_oil", 4, "hand_tools", 1, "tie_wire", 1, "first_aid", 1, "water", 60, "mobile_phone", 2,
		"gnss", 1, "paper_map", 1, "sat_messenger", 1, "sleeping_gear", 4)
}

func helper() *Party {
	return &Party{
		Vehicle: Vehicle{Class: "wagon_mid_diesel", HasFrontPoint: true, FrontPointKN: 50, HasRearPoint: true, RearPointKN: 50, AgeY: 5},
		People: []Person{{Name: "E", AgeY: 38, Driver: true, Skills: []string{"winching", "kinetic", "digging_out", "mechanic", "electrics", "driving_sand", "fording"}},
			{Name: "F", AgeY: 36, Driver: true, Skills: []string{"tyre_repair", "first_aid"}}},
		Load: load("spare_wheel", 1, "jack", 1, "wheel_brace", 1, "winch", 1, "block", 1, "tree_strap", 1, "shackle", 4, "soft_shackle", 4, "static_strap", 1,
			"kinetic_strap", 1, "gloves", 2, "damper", 1, "jump_pack", 1, "hand_tools", 1, "coolant", 5, "water", 60, "boards", 2, "shovel", 1, "beacon", 1),
	}
}

func usualTrip() Trip {
	p := family()
	p.Load = usualLoad()
	return Trip{Name: "made up", Party: p, Partner: helper(), Conditions: Conditions{Start: time.Date(2027, 3, 20, 7, 30, 0, 0, time.FixedZone("", 3600)),
		DayMeanC: 24, DayMaxC: 33, NightMinC: 12, Wetness: 0.2, WaterLevel: 0.8}, Policy: Policy{ContactAtHome: true}}
}
