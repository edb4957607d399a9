package recovery

// Working is a planned recovery, step by step. All numbers are finite; a figure that does not exist
// is 0 beside a flag or text that says so.
type Working struct {
	Schema int    `json:"schema"` // 1
	State  string `json:"state"`
	Stuck  Stuck  `json:"stuck"`
	// Kit and Site are what it was planned with, as they were given.
	Kit  Kit  `json:"-"`
	Site Site `json:"-"`
	Pull Pull `json:"pull"`
	// Holds is true when the chosen rig holds every check. Otherwise Rig is the one that comes
	// nearest, and Fails and Cures say what is short and what would mend it.
	Holds bool `json:"holds"`
	Rig   Rig  `json:"rig"`
	// Margin is limit over force of the weakest link, winch or anchor of Rig; 0 when a piece is missing.
	Margin float64 `json:"margin"`
	// BestMargin is the largest such margin over all rigs that hold, 0 when none does. It never falls when
	// gear is added or strengthened, which Margin (of the simplest rig) may: chances rest on it.
	BestMargin float64 `json:"best_margin"`
	// HoldsUpToKN is the largest pull the shown rig would hold; 0 when a piece is missing or the line is short.
	HoldsUpToKN float64 `json:"holds_up_to_kn"`

	Tackle    Tackle     `json:"tackle"`
	DeadLines []DeadLine `json:"dead_lines"`
	Winch     WinchUse   `json:"winch"`
	Line      LineUse    `json:"line"`
	Chain     []Link     `json:"chain"`
	WeakLink  string     `json:"weak_link"` // title of the weakest link, "" when the chain is incomplete
	Anchor    AnchorUse  `json:"anchor"`
	TurnHold  *AnchorUse `json:"turn_anchor,omitempty"`

	Checks   []Check   `json:"checks"`
	Fails    string    `json:"fails"` // first failing check in words, "" when all hold
	Cures    []Cure    `json:"cures"`
	Steps    []Step    `json:"steps"`
	Tried    []Try     `json:"tried"`
	LeftOut  []LeftOut `json:"left_out"` // gear that is not used, with the reason
	ClearM   float64   `json:"clear_distance_m"`
	Cautions []Caution `json:"cautions"`
	Notes    []string  `json:"notes"` // what was assumed
}

// DeadLine is a line or strap that stands still and holds so many parts of the winch line.
type DeadLine struct {
	Where string  `json:"where"`
	Lines int     `json:"lines"`
	KN    float64 `json:"force_kn"`
}

// WinchUse is the winch in the rig.
type WinchUse struct {
	Name       string  `json:"name"`
	RatedKN    float64 `json:"rated_kn"`
	Spool      Spool   `json:"spool"`
	AfterKN    float64 `json:"pull_after_travel_kn"` // pull on the layer reached when the vehicle has moved its way
	AfterLayer int     `json:"layer_after_travel"`
	Duty       Duty    `json:"duty"`
	FitKN      float64 `json:"usual_rating_kn"` // 1.5 times the loaded weight
}

// LineUse is the line in the rig, in metres.
type LineUse struct {
	DistanceM  float64 `json:"distance_m"`
	NeededM    float64 `json:"needed_m"` // winch line off the drum
	UsableM    float64 `json:"usable_m"` // winch line that may leave the drum
	ExtensionM float64 `json:"extension_m"`
	ShortM     float64 `json:"short_m"` // by which the line is short, 0 when it reaches
}

// Link is one element of the chain.
type Link struct {
	Slot    string  `json:"slot"`  // winch_line, line_end, block_far_1, anchor_strap...
	Title   string  `json:"title"` // "shackle at the recovery point"
	Gear    string  `json:"gear"`  // the piece that stands there; "" when none fits
	ForceKN float64 `json:"force_kn"`
	LimitKN float64 `json:"limit_kn"`
	Margin  float64 `json:"margin"` // limit over force; 0 when there is no piece
	How     string  `json:"how"`    // how the limit was found

	piece *Gear
	class class
	place string
	per   float64 // the slot's factor
	trunk bool
	rope  float64 // winch line: breaking strength per kN of limit
}

// AnchorUse is an anchor in the rig.
type AnchorUse struct {
	Title  string  `json:"title"`
	Kind   string  `json:"kind"`
	NeedKN float64 `json:"need_kn"`
	Hold   Hold    `json:"hold"`
	Margin float64 `json:"margin"` // 0 when judged or refused
}

// Check is one thing that must hold.
type Check struct {
	Key   string `json:"key"` // winch, line, chain, anchor, turn_anchor
	Title string `json:"title"`
	OK    bool   `json:"ok"`
	Text  string `json:"text"`
}

// Cure is one thing that would mend a failing check.
type Cure struct {
	Check  string  `json:"check"`
	Slot   string  `json:"slot,omitempty"`
	Kind   string  `json:"kind,omitempty"`    // kind of gear or anchor to add
	NeedKN float64 `json:"need_kn,omitempty"` // working load it must bear
	NeedM  float64 `json:"need_m,omitempty"`
	Text   string  `json:"text"`
}

// Try is a rig that was tried.
type Try struct {
	Rig    Rig     `json:"rig"`
	Holds  bool    `json:"holds"`
	Margin float64 `json:"margin"`
	Fails  string  `json:"fails"`
}

// LeftOut is a piece of gear that is not used and why.
type LeftOut struct {
	Gear   string `json:"gear"`
	Reason string `json:"reason"`
}

// Weakest names what Margin belongs to: a link of the chain, the winch, or an anchor.
func (w *Working) Weakest() string {
	least, name := MostMargin+1.0, w.WeakLink
	for _, l := range w.Chain {
		if l.Margin < least {
			least, name = l.Margin, l.Title
		}
	}
	if w.Winch.Spool.PullKN > 0 && ratio(w.Winch.Spool.PullKN, w.Tackle.FallLineKN) < least {
		least, name = ratio(w.Winch.Spool.PullKN, w.Tackle.FallLineKN), w.Winch.Name
	}
	for _, u := range []*AnchorUse{&w.Anchor, w.TurnHold} {
		if u != nil && !u.Hold.Judged && u.Margin < least {
			least, name = u.Margin, u.Title
		}
	}
	return name
}
