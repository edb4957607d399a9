package bench

import (
	"lastroad/geo"
	"lastroad/risk/recovery"
)

// Ask is what stands on the bench.
type Ask struct {
	Stuck recovery.Stuck
	Kit   recovery.Kit
	Site  recovery.Site
	// People and Spades dig; with none of either, digging is not worked out.
	People, Spades int
	// Tug is a second vehicle (mass, ground) that could pull on a static strap by its own grip; nil = none.
	Tug *recovery.Anchor
}

// Report is the working of the package recovery with, beside it, digging (absent on the surface), the second
// vehicle's pull (absent unless asked), and the drawing. As JSON it is what the pull verb writes: schema 1,
// units stand in the names of the fields.
type Report struct {
	*recovery.Working
	Digging *Digging         `json:"digging,omitempty"`
	Tug     *Tug             `json:"tug,omitempty"`
	Diagram recovery.Diagram `json:"diagram"`
}

// Digging is what digging the wheels free takes and leaves.
type Digging struct {
	To         recovery.Depth `json:"to"`
	People     int            `json:"people"`
	Spades     int            `json:"spades"`
	LowMin     float64        `json:"low_min"`
	CentralMin float64        `json:"central_min"`
	HighMin    float64        `json:"high_min"`
	AfterKN    float64        `json:"pull_after_kn"`
}

// Tug is what a second vehicle gives on a static strap by its own grip.
type Tug struct {
	MassKg    float64    `json:"mass_kg"`
	Ground    geo.Ground `json:"ground"`
	LowKN     float64    `json:"low_kn"`
	CentralKN float64    `json:"central_kn"`
	HighKN    float64    `json:"high_kn"`
	Enough    bool       `json:"enough"`
}

// Work works the recovery out. It fails with [geo.InputError] on figures outside their ranges; what is
// missing or unrated is no error but a finding in the report.
func Work(tab *recovery.Tables, a Ask) (*Report, error) {
	w, err := tab.Plan(a.Stuck, a.Kit, a.Site)
	if err != nil {
		return nil, err
	}
	r := &Report{Working: w, Diagram: w.Diagram()}
	if a.Stuck.Depth > recovery.Tread && a.People > 0 && a.Spades > 0 && a.Stuck.Ground != geo.LedgeRock { // nobody digs in bare rock
		d, err := tab.Dig(a.Stuck, a.Stuck.Depth-1, a.People, a.Spades)
		if err != nil {
			return nil, err
		}
		r.Digging = &Digging{d.To, a.People, a.Spades, d.LowMin, d.CentralMin, d.HighMin, d.After.CentralKN}
	}
	if v := a.Tug; v != nil {
		t, err := tab.Tug(v.MassKg, v.Ground, a.Stuck.Grade, 1)
		if err != nil {
			return nil, err
		}
		r.Tug = &Tug{v.MassKg, v.Ground, t.LowKN, t.CentralKN, t.HighKN, t.CentralKN >= w.Pull.CentralKN}
	}
	return r, nil
}

// Unrated names the pieces of a kit that bear force and carry no rating: for each the program asks what is
// stamped on it, and until it is told the piece bears nothing. Kinds that are refused whatever their mark,
// and dampers, are not among them.
func Unrated(tab *recovery.Tables, kit recovery.Kit) (out []int) {
	for i, g := range kit.Gear {
		if g.WLLKN > 0 || g.MBSKN > 0 {
			continue
		}
		// Were it rated, would it bear? Then the rating is what is missing.
		g.WLLKN = 1
		if tab.Bears(g).Refused == "" {
			out = append(out, i)
		}
	}
	return out
}
