package verbs

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lastroad/geo"
	"lastroad/risk/recovery"
)

// The words of the pull verb. Forces are written as the trade stamps them: a bare number is kilograms,
// or with a unit "42kN", "9500lb", "4.75t".

// badWord is a flag's value that cannot be read.
func badWord(flag, text, reason, remedy string) error {
	return &geo.InputError{Where: "--" + flag + " " + text, Reason: reason, Remedy: remedy}
}

// number reads a finite number.
func number(flag, text string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, badWord(flag, text, "is not a number", "")
	}
	return v, nil
}

// forceKN reads a force; zero and below are refused.
func forceKN(flag, text string) (float64, error) {
	s := strings.ToLower(strings.TrimSpace(text))
	unit := func(kg float64) float64 { return recovery.KN(kg) }
	for _, u := range []struct {
		suffix string
		kn     func(float64) float64
	}{{"kn", func(v float64) float64 { return v }}, {"kg", unit}, {"lbf", recovery.LbfToKN}, {"lb", recovery.LbfToKN}, {"t", func(v float64) float64 { return recovery.KN(1000 * v) }}} {
		if cut, ok := strings.CutSuffix(s, u.suffix); ok {
			s, unit = cut, u.kn
			break
		}
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, badWord(flag, text, "is not a force", "write kilograms, or a number with kN, kg, t or lb: 4310, 42kN, 4.75t, 9500lb")
	}
	kN := unit(v)
	if !(kN >= 0.1 && kN <= 2000) {
		return 0, badWord(flag, text, "is outside 0.1 to 2000 kN (10 to 204000 kg)", "")
	}
	return kN, nil
}

// lengthM reads metres, with or without an m behind.
func lengthM(flag, text string) (float64, error) {
	return number(flag, strings.TrimSuffix(strings.ToLower(strings.TrimSpace(text)), "m"))
}

// gear reads RATING[xN][:LENGTH] or [@SHEAVE]; RATING may begin with wll or mbs and a colon. A bare rating
// is the mark that the kind usually carries: breaking strength on straps, ropes and soft shackles,
// working load on all else. The word "unknown" is a piece without a readable rating.
func gear(flag string, kind recovery.Kind, text string) (recovery.Gear, error) {
	g := recovery.Gear{Kind: kind, Count: 1}
	breaking := slices.Contains([]recovery.Kind{recovery.Strap, recovery.TreeStrap, recovery.ExtRope, recovery.SoftShackle, recovery.KineticRope, recovery.KineticStrap}, kind)
	rest := strings.ToLower(strings.TrimSpace(text))
	if cut, ok := strings.CutPrefix(rest, "mbs:"); ok {
		rest, breaking = cut, true
	} else if cut, ok := strings.CutPrefix(rest, "wll:"); ok {
		rest, breaking = cut, false
	}
	if head, tail, ok := strings.Cut(rest, "@"); ok {
		if kind != recovery.Block {
			return g, badWord(flag, text, "only a block has a sheave", "")
		}
		mm, err := number(flag, strings.TrimSuffix(tail, "mm"))
		if err != nil {
			return g, err
		}
		rest, g.SheaveMM = head, mm
	}
	if head, tail, ok := strings.Cut(rest, ":"); ok {
		m, err := lengthM(flag, tail)
		if err != nil {
			return g, err
		}
		rest, g.LengthM = head, m
	}
	if head, tail, ok := strings.Cut(rest, "x"); ok {
		n, err := strconv.Atoi(tail)
		if err != nil || n < 1 || n > 50 {
			return g, badWord(flag, text, fmt.Sprintf("%q is not a number of pieces from 1 to 50", tail), "")
		}
		rest, g.Count = head, n
	}
	if rest == "unknown" || rest == "" {
		return g, nil
	}
	kN, err := forceKN(flag, rest)
	if err != nil {
		return g, err
	}
	if breaking {
		g.MBSKN = kN
	} else {
		g.WLLKN = kN
	}
	return g, nil
}

// point reads [KIND:][PLACE:]RATING[xN] of a recovery point.
func point(text string) (recovery.Gear, error) {
	kinds := map[string]recovery.Kind{"frame": recovery.FramePoint, "bolted": recovery.BoltedPoint, "receiver": recovery.Receiver,
		"tiedown": recovery.TieDown, "tie-down": recovery.TieDown, "bumper": recovery.BumperHook, "towball": recovery.TowBall, "tow-ball": recovery.TowBall}
	kind, place, rest := recovery.FramePoint, "", strings.ToLower(text)
	for {
		head, tail, ok := strings.Cut(rest, ":")
		if !ok {
			break
		}
		if k, known := kinds[head]; known {
			kind, rest = k, tail
		} else if head == "front" || head == "rear" || head == "partner" {
			place, rest = head, tail
		} else {
			break
		}
	}
	if k, known := kinds[rest]; known { // "tiedown" alone
		kind, rest = k, "unknown"
	}
	g, err := gear("point", kind, rest)
	g.Place = place
	if err == nil && g.LengthM != 0 {
		return g, badWord("point", text, "is not a recovery point", "write it like front:5000, receiver:rear:4500 or tiedown")
	}
	return g, err
}

// rope reads MATERIAL:MM[:BREAKING].
func rope(text string, lineM float64, end string) (recovery.Rope, error) {
	parts := strings.Split(text, ":")
	if len(parts) < 2 || len(parts) > 3 {
		return recovery.Rope{}, badWord("rope", text, "is not a rope", "write it like hmpe:10 or steel:9.5, with the marked breaking strength if known: hmpe:10:9000kg")
	}
	r := recovery.Rope{Material: recovery.Material(strings.ToLower(parts[0])), LengthM: lineM, End: recovery.End(end)}
	if r.Material == "synthetic" || r.Material == "fibre" {
		r.Material = recovery.HMPE
	}
	mm, err := number("rope", strings.TrimSuffix(parts[1], "mm"))
	if err != nil {
		return r, err
	}
	r.DiameterMM = mm
	if len(parts) == 3 {
		if r.MBSKN, err = forceKN("rope", parts[2]); err != nil {
			return r, err
		}
	}
	return r, nil
}

// anchorWords are the anchors as they are written.
const anchorWords = "tree:400, rock, vehicle:3000,ground=gravel,chocked, pickets:loam,set=3-2-1, ground-anchor:2000,soil=loam, spare-wheel:loam,depth=0.9,face=0.8 or deadman:loam,depth=1.2,slope=1:2,face=0.25,length=1.5,log"

// anchor reads KIND[:MAIN][,key=value or flag]...; ground is what the stuck vehicle stands on, taken for
// an anchor vehicle that names none.
func anchor(flag, text string, ground geo.Ground) (recovery.Anchor, error) {
	words := strings.Split(strings.ToLower(text), ",")
	kind, main, _ := strings.Cut(words[0], ":")
	kinds := map[string]recovery.AnchorKind{"tree": recovery.Tree, "rock": recovery.Rock, "vehicle": recovery.Vehicle, "ground-anchor": recovery.EarthHook,
		"pickets": recovery.Pickets, "spare-wheel": recovery.SpareWheel, "deadman": recovery.Deadman}
	a := recovery.Anchor{}
	var ok bool
	if a.Kind, ok = kinds[kind]; !ok {
		return a, badWord(flag, text, fmt.Sprintf("%q is not a kind of anchor", kind), "write it like "+anchorWords)
	}
	var err error
	if main != "" {
		switch a.Kind {
		case recovery.Tree:
			a.TrunkMM, err = number(flag, strings.TrimSuffix(main, "mm"))
		case recovery.Vehicle:
			a.MassKg, err = number(flag, strings.TrimSuffix(main, "kg"))
		case recovery.EarthHook:
			a.WLLKN, err = forceKN(flag, main)
		case recovery.Rock:
			err = badWord(flag, text, "a rock takes no figure", "")
		default:
			a.Soil = main
		}
		if err != nil {
			return a, err
		}
	}
	if a.Kind == recovery.Vehicle {
		a.Ground = ground
	}
	for _, w := range words[1:] {
		key, value, _ := strings.Cut(w, "=")
		var v float64
		if slices.Contains([]string{"grade", "depth", "face", "length", "count"}, key) {
			if v, err = lengthM(flag, strings.TrimSuffix(value, "%")); err != nil {
				return a, err
			}
		}
		switch key {
		case "dead", "loose":
			a.Dead = true
		case "chocked":
			a.Chocked = true
		case "log":
			a.Log = true
		case "soil":
			a.Soil = value
		case "set":
			a.Picket = value
		case "count":
			if v != math.Trunc(v) || v < 1 || v > 20 {
				return a, badWord(flag, text, "count must be a whole number from 1 to 20", "")
			}
			a.Count = int(v)
		case "ground":
			if a.Ground, ok = geo.ParseGround(value); !ok {
				return a, badWord(flag, text, fmt.Sprintf("%q is not a ground", value), "use one of "+strings.Join(groundKeys(), ", "))
			}
		case "grade":
			a.Grade = v / 100
		case "depth":
			a.DepthM = v
		case "face":
			a.FaceM = v
		case "length":
			a.LengthM = v
		case "slope":
			if a.Slope, err = slope(flag, value); err != nil {
				return a, err
			}
		default:
			return a, badWord(flag, text, fmt.Sprintf("%q is not said of an anchor", w), "write it like "+anchorWords)
		}
	}
	return a, nil
}

// slope reads "1:2" (rise to run) or a number.
func slope(flag, text string) (float64, error) {
	rise, run, ok := strings.Cut(text, ":")
	a, err := number(flag, rise)
	if err != nil || !ok {
		return a, err
	}
	b, err := number(flag, run)
	if err != nil {
		return 0, err
	}
	if !(a > 0 && b > 0) {
		return 0, badWord(flag, text, "is not a slope", "write it like 1:2")
	}
	return a / b, nil
}

func groundKeys() []string {
	var out []string
	for g := geo.Unknown; g < geo.NumGrounds; g++ {
		out = append(out, g.Key())
	}
	return out
}
