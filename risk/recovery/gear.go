package recovery

import (
	"fmt"
	"slices"
)

// Kind is what a piece of gear is. It decides how its rating is read and where it may stand in the chain.
type Kind string

// The kinds of gear.
const (
	Shackle      Kind = "shackle"       // bow or D shackle; only its stamp rates it
	SoftShackle  Kind = "soft_shackle"  // spliced fibre loop with a knot
	Hook         Kind = "hook"          // line end only
	Block        Kind = "block"         // snatch block or pulley ring; rated for the load on the block
	Strap        Kind = "strap"         // static webbing strap with sewn eyes
	TreeStrap    Kind = "tree_strap"    // wide static strap for trunks
	Sling        Kind = "sling"         // lifting sling, marked with a working load
	ExtRope      Kind = "rope"          // loose static rope
	Chain        Kind = "chain"         // graded chain with hooks
	Bridle       Kind = "bridle"        // joins two points; rating per leg
	KineticRope  Kind = "kinetic_rope"  // stretches; for kinetic pulls only
	KineticStrap Kind = "kinetic_strap" // stretches; for kinetic pulls only
	FramePoint   Kind = "frame_point"   // recovery point on the frame, made for the purpose
	BoltedPoint  Kind = "bolted_point"  // bolted right through to the frame
	Receiver     Kind = "receiver"      // hitch receiver with a rated insert
	TieDown      Kind = "tie_down"      // shipping or tie-down eye: refused
	BumperHook   Kind = "bumper_hook"   // refused
	TowBall      Kind = "tow_ball"      // refused
	Damper       Kind = "damper"        // line damper or blanket; bears nothing
)

// Kinds lists all kinds in a fixed order.
var Kinds = []Kind{Shackle, SoftShackle, Hook, Block, Strap, TreeStrap, Sling, ExtRope, Chain, Bridle, KineticRope,
	KineticStrap, FramePoint, BoltedPoint, Receiver, TieDown, BumperHook, TowBall, Damper}

var kindTitles = map[Kind]string{Shackle: "shackle", SoftShackle: "soft shackle", Hook: "hook", Block: "block", Strap: "strap",
	TreeStrap: "tree strap", Sling: "sling", ExtRope: "rope", Chain: "chain", Bridle: "bridle", KineticRope: "kinetic rope",
	KineticStrap: "kinetic strap", FramePoint: "recovery point on the frame", BoltedPoint: "recovery point bolted through",
	Receiver: "hitch receiver", TieDown: "tie-down eye", BumperHook: "bumper hook", TowBall: "tow ball", Damper: "damper"}

// String is the English name.
func (k Kind) String() string {
	if t, ok := kindTitles[k]; ok {
		return t
	}
	return string(k)
}

// refusals are the kinds that never bear a recovery, with the reason.
var refusals = map[Kind]string{
	TieDown:    "a tie-down eye holds a parked car in transit and tears out under a recovery pull",
	BumperHook: "a bumper hook is held by sheet metal; nothing says what it bears",
	TowBall:    "a tow ball can break off and has killed; use the receiver with a rated insert",
}

// End is how a rope's end is made.
type End string

// The rope ends. An end that is not said counts as the weakest made one: a hand splice on steel, a
// long-bury splice on fibre.
const (
	EndSplice  End = "splice"
	EndPressed End = "pressed" // swaged or pressed sleeve, steel
	EndClips   End = "clips"   // wire rope clips
	EndKnot    End = "knot"
)

// Gear is one piece of recovery gear, or Count equal pieces of it.
type Gear struct {
	Key   string `json:"key"`  // stable key, breaks ties so that the order of a list does not matter
	Name  string `json:"name"` // "" = the kind
	Kind  Kind   `json:"kind"`
	Count int    `json:"count"` // 0 counts as 1
	// WLLKN is the working load limit stamped on the piece; it is taken as it stands.
	// MBSKN is its breaking strength; it is divided by the design factor of its kind.
	// With both, the smaller result counts. With neither the piece is not usable.
	WLLKN float64 `json:"wll_kn,omitempty"`
	MBSKN float64 `json:"mbs_kn,omitempty"`
	Alloy bool    `json:"alloy,omitempty"` // shackles: alloy steel (5 to 1) rather than carbon (6 to 1)
	Knot  bool    `json:"knot,omitempty"`  // straps and ropes: knotted somewhere
	// BendMM is the smallest diameter a soft shackle is bent round, BodyMM its own rope's; 0 = not said.
	BendMM   float64 `json:"bend_mm,omitempty"`
	BodyMM   float64 `json:"body_mm,omitempty"`
	LengthM  float64 `json:"length_m,omitempty"`  // straps, ropes, bridles
	SheaveMM float64 `json:"sheave_mm,omitempty"` // blocks: diameter the rope runs on; 0 = not known
	// Place is where a point sits: "front", "rear", "partner" (on another vehicle) or "" for either end of the own one.
	Place string `json:"place,omitempty"`
}

// Title is the name shown.
func (g Gear) Title() string {
	if g.Name != "" {
		return g.Name
	}
	return g.Kind.String()
}

func (g Gear) check() error {
	if !slices.Contains(Kinds, g.Kind) {
		return refuse(g.Title(), fmt.Sprintf("%q is not a kind of gear", g.Kind), "")
	}
	opt := func(field string, l limit, v float64) error {
		if v == 0 {
			return nil
		}
		return l.check(g.Title()+" "+field, v)
	}
	if g.Count < 0 || g.Count > 50 {
		return refuse(g.Title()+" count", fmt.Sprintf("%d is outside 0 to 50", g.Count), "")
	}
	return first(opt("working load limit", rangeForce, g.WLLKN), opt("breaking strength", rangeForce, g.MBSKN),
		opt("length", rangeGear, g.LengthM), opt("sheave", rangeSheave, g.SheaveMM),
		opt("bend", limit{1, 1000, "mm"}, g.BendMM), opt("body", rangeRope, g.BodyMM))
}

// designKey is the row of the design factors for a piece.
func (g Gear) designKey() string {
	switch g.Kind {
	case Shackle:
		if g.Alloy {
			return "shackle_alloy"
		}
		return "shackle"
	case SoftShackle:
		return "soft_shackle"
	case Hook:
		return "hook"
	case Block:
		return "block"
	case Sling:
		return "sling"
	case ExtRope:
		return "rope"
	case Chain:
		return "chain"
	case FramePoint, BoltedPoint, Receiver:
		return "point"
	}
	return "webbing"
}

// Bearing is what a piece of gear may be asked to bear.
type Bearing struct {
	KN      float64 `json:"limit_kn"`
	How     string  `json:"how"`     // "stamped working load limit", "breaking strength 80.0 kN / 2"
	Refused string  `json:"refused"` // why it bears nothing, "" when it does
}

// Bears works out what g may bear in a steady pull. Pieces of refused kinds and pieces without a
// readable rating bear nothing, and Refused says why and what to ask for.
func (t *Tables) Bears(g Gear) Bearing {
	if why, bad := refusals[g.Kind]; bad {
		return Bearing{Refused: why}
	}
	switch g.Kind {
	case Damper:
		return Bearing{Refused: "a damper bears no load"}
	case SoftShackle:
		if g.BendMM > 0 && g.BodyMM > 0 && g.BendMM < t.Rope["soft_bend"].Central*g.BodyMM {
			return Bearing{Refused: fmt.Sprintf("it is bent round %.0f mm; its strength holds only round %.0f mm and more", g.BendMM, t.Rope["soft_bend"].Central*g.BodyMM)}
		}
	}
	var b Bearing
	df := t.Design[g.designKey()].Central
	switch {
	case g.WLLKN > 0 && (g.MBSKN <= 0 || g.WLLKN <= g.MBSKN/df):
		b = Bearing{KN: g.WLLKN, How: "stamped working load limit"}
	case g.MBSKN > 0:
		b = Bearing{KN: g.MBSKN / df, How: fmt.Sprintf("breaking strength %.1f kN / %g", g.MBSKN, df)}
	default:
		return Bearing{Refused: "no readable rating: give the working load limit or breaking strength marked on it"}
	}
	if g.Knot {
		b.KN *= t.Rope["knot"].Central
		b.How += fmt.Sprintf(", knotted × %.2f", t.Rope["knot"].Central)
	}
	return b
}

// A class is a set of kinds that can stand in for each other in the chain.
type class uint8

const (
	classNone class = iota
	classConnector
	classHook
	classBlock
	classStrap
	classPoint
	classBridle
	numClasses
)

func (k Kind) class() class {
	switch k {
	case Shackle, SoftShackle:
		return classConnector
	case Hook:
		return classHook
	case Block:
		return classBlock
	case Strap, TreeStrap, Sling, ExtRope, Chain:
		return classStrap
	case FramePoint, BoltedPoint, Receiver, TieDown, BumperHook, TowBall:
		return classPoint
	case Bridle:
		return classBridle
	}
	return classNone
}

// Kit is what is at hand. The order of Gear has no meaning.
type Kit struct {
	Winch     *Winch `json:"winch,omitempty"`      // nil = none
	HandWinch *Winch `json:"hand_winch,omitempty"` // lever or cable hand winch
	Gear      []Gear `json:"gear"`
}
