package recovery

import "fmt"

// Rig is a way to lay the line.
//
// On the stuck vehicle's own winch ("self-winching") the first block hangs on the anchor and the line
// comes back to the vehicle: the block stands still and yet gives advantage, because the winch moves.
// On a helper's winch the first block hangs on the stuck vehicle. Further blocks alternate.
type Rig struct {
	Key       string `json:"key"`   // single, single_turn, one_block, two_blocks, three_blocks
	Title     string `json:"title"` // what a person calls it
	Advantage int    `json:"advantage"`
	Sheaves   int    `json:"sheaves"`
	Turn      bool   `json:"turn"`   // a fixed block changes the direction
	Helper    bool   `json:"helper"` // the winch stands on another vehicle
	Manual    bool   `json:"manual"` // hand winch
}

// rigs lists the rigs to try for a site, simplest first.
func rigs(site Site, manual bool) []Rig {
	if site.Turn != nil {
		title := "single line round a turning block"
		return []Rig{{Key: "single_turn", Title: titleFor(title, site, manual), Advantage: 1, Sheaves: 1, Turn: true, Helper: site.Helper != nil, Manual: manual}}
	}
	most := site.MaxAdvantage
	if most == 0 {
		most = 4
	}
	own := []string{"single line", "one block at the anchor, line back to the vehicle", "two blocks, line end at the anchor", "three blocks, line back to the vehicle"}
	other := []string{"single line", "one block on the stuck vehicle, line back to the winch vehicle", "two blocks, line end on the stuck vehicle", "three blocks, line back to the winch vehicle"}
	keys := []string{"single", "one_block", "two_blocks", "three_blocks"}
	var out []Rig
	for i := range min(most, len(keys)) {
		title := own[i]
		if site.Helper != nil {
			title = other[i]
		}
		if i > 0 {
			title += fmt.Sprintf(" (%d to 1)", i+1)
		}
		out = append(out, Rig{Key: keys[i], Title: titleFor(title, site, manual), Advantage: i + 1, Sheaves: i, Helper: site.Helper != nil, Manual: manual})
	}
	return out
}

func titleFor(title string, site Site, manual bool) string {
	switch {
	case manual:
		return "hand winch, " + title
	case site.Helper != nil:
		return "helper's winch, " + title
	}
	return title
}

// atAnchor and atLoad split the parts of line and the blocks between the anchor side and the pulled side.
// "Far" is the side across from the winch, which takes the first block.
func (r Rig) far() (lines, blocks int, end bool) {
	if r.Turn {
		return 1, 0, true
	}
	return r.Advantage, r.Advantage / 2, r.Advantage%2 == 1
}

// near is the side of the winch: all parts but the winch's own hang on points beside it.
func (r Rig) near() (lines, blocks int, end bool) {
	if r.Turn {
		return 0, 0, false
	}
	return r.Advantage - 1, (r.Advantage - 1) / 2, r.Advantage%2 == 0
}

// Turn is a change of direction: a fixed block that the line runs round.
type Turn struct {
	// AngleDeg is the angle between the two legs of line at the block: 180 = straight, 0 = back again.
	AngleDeg float64 `json:"angle_deg"`
	// DistanceM is the line's length from the turning block on to the anchor (or helper).
	DistanceM float64 `json:"distance_m"`
	Anchor    Anchor  `json:"anchor"` // that holds the turning block
}

// Site is what the place allows.
type Site struct {
	// Anchors that can be used, in any order.
	Anchors []Anchor `json:"anchors"`
	// DistanceM is from the stuck vehicle to the anchor, or to the turning block; 0 = a typical
	// one, or as far as the line reaches with the rig when that is less; it is said.
	DistanceM float64 `json:"distance_m"`
	// TravelM is how far the vehicle must be drawn; 0 = a typical length, said.
	TravelM float64 `json:"travel_m"`
	Turn    *Turn   `json:"turn,omitempty"`
	// Helper is the vehicle that carries the kit's winch; nil = the stuck vehicle winches itself.
	Helper *Anchor     `json:"helper,omitempty"`
	Tackle TackleModel `json:"tackle"`
	// MaxAdvantage limits the rigs tried, 1 to 4; 0 = 4.
	MaxAdvantage int `json:"max_advantage,omitempty"`
}

func (s Site) check() error {
	if s.DistanceM != 0 {
		if err := rangeDistance.check("distance to the anchor", s.DistanceM); err != nil {
			return err
		}
	}
	if s.TravelM != 0 {
		if err := rangeTravel.check("travel", s.TravelM); err != nil {
			return err
		}
	}
	if s.MaxAdvantage < 0 || s.MaxAdvantage > 4 {
		return refuse("advantage", fmt.Sprintf("%d is outside 1 to 4", s.MaxAdvantage), "")
	}
	if s.Turn != nil {
		if err := first(rangeDeg.check("turning angle", s.Turn.AngleDeg), rangeDistance.check("distance after the turning block", s.Turn.DistanceM)); err != nil {
			return err
		}
	}
	if s.Helper != nil && s.Helper.Kind != Vehicle {
		return refuse("helper", "must be a vehicle", "")
	}
	return s.Tackle.check()
}
