package split

import (
	"context"
	"fmt"
	"math"

	"lastroad/geo"
)

// Settings tune the legs; the zero value is the usual way. See DefaultPenaltyM for the unit.
type Settings struct {
	PenaltyM float64 // price of a cut on a route of 100 km; 0 = DefaultPenaltyM
	MinM     float64 // least length of a leg that nothing forces; 0 = DefaultMinM
}

const (
	// DefaultPenaltyM is the price of a cut, in metres of a difference of one unit; one unit is a
	// full change of ground, or of 10 % in grade. A stretch that differs by one unit from what lies
	// before and behind it becomes a leg of its own from twice the penalty on, here 4 km. The price
	// grows with the square root of the route's length (half of it up to 25 km, 1.4 times for
	// 200 km), since a person looks over a long route in larger parts. Judgement, tried from 500 to
	// 4000 on made mountain routes of 38 and 200 km (TestLegsOfLongRoutes of package survey): at this
	// price the legs of a mountain track are its climbs and descents.
	DefaultPenaltyM = 2000.0

	// DefaultMinM keeps legs long enough to be worth a sheet of their own; on a route shorter than 30 km it
	// is a twentieth of its length, at least 300 m. Judgement, 500 to 2000 m tried: at 1000 m and less a
	// metre's shift of a mountain route makes and unmakes legs of a flat valley bottom.
	DefaultMinM = 1500.0

	// longLegM: an even stretch is cut in two when it is longer than this, on routes up to 200 km; beyond
	// that the length grows as the price does. Judgement: half a day on bad ground.
	longLegM = 40000.0

	// mostLegs bounds the legs of 200 km, forced cuts not counted; the price is raised until it holds.
	// Judgement: 40 sheets are the most that anyone takes along.
	mostLegs = 40

	// keptFlipM smooths the change between maintained and other road: a change counts when the stretch
	// behind it outweighs it, which a visit of less than twice this length to the other kind does not.
	keptFlipM = 500.0

	// placeDiscount makes the junction where the way changes a cheaper place to cut. Judgement.
	placeDiscount = 0.75
)

// Must is a sample at which a leg has to begin, and why.
type Must struct {
	At  int
	Why string
}

// Legs cuts the samples of a survey into legs. It reads Samples, Grounds, Ways and Marks only; musts are cuts
// that have to be (stops), edits what the user changed by hand. Besides the musts there is always a cut
// where the route leaves or reaches the maintained road or the ground data (short visits smoothed away).
// The notes say in full sentences which edits no longer find their place. Fewer than two samples give no legs.
func Legs(ctx context.Context, s *geo.Survey, musts []Must, edits []Edit, set Settings) (legs []geo.Leg, notes []string, err error) {
	n := len(s.Samples)
	if n < 2 {
		return nil, nil, nil
	}
	if set.PenaltyM <= 0 {
		set.PenaltyM = DefaultPenaltyM
	}
	if set.MinM <= 0 {
		length := s.Samples[n-1].DistanceM - s.Samples[0].DistanceM
		set.MinM = math.Min(DefaultMinM, math.Max(300, length/20))
	}
	p := Problem{X: make([]float64, n), Channels: channels(s), MinM: set.MinM}
	for i := range p.X {
		p.X[i] = s.Samples[i].DistanceM
	}
	why := map[int]string{0: "start"}
	for _, m := range keptChanges(s) {
		why[m.At] = m.Why
		p.Forced = append(p.Forced, m.At)
	}
	for _, m := range musts { // what the user said is the better reason
		if m.At > 0 && m.At < n-1 {
			why[m.At] = m.Why
			p.Forced = append(p.Forced, m.At)
		}
	}
	locks, lockNotes := locksOf(edits, p.X)
	for _, l := range locks {
		p.Whole = append(p.Whole, [2]int{l.from, l.to})
	}
	cuts, err := cutScaled(ctx, s, p, set)
	if err != nil {
		return nil, nil, err
	}
	for k := 0; k+1 < len(cuts); k++ {
		legs = append(legs, geo.Leg{From: cuts[k], To: cuts[k+1]})
	}
	for _, l := range locks {
		for k := range legs {
			if legs[k].From == l.from && legs[k].To == l.to {
				legs[k].Locked = true
			}
		}
	}
	for k := range legs {
		switch w, ok := why[legs[k].From]; {
		case ok:
			legs[k].Why = w
		case legs[k].Locked || k > 0 && legs[k-1].Locked:
			legs[k].Why = "set by you"
		default:
			legs[k].Why = reason(p.Channels, p.X, legs[k-1], legs[k], s)
		}
	}
	legs, notes = apply(legs, edits, s.Samples)
	name(legs, s)
	return legs, append(lockNotes, notes...), nil
}

// cutScaled prices the cuts by the route's length, and higher where the legs become too many.
func cutScaled(ctx context.Context, s *geo.Survey, p Problem, set Settings) ([]int, error) {
	length := p.X[len(p.X)-1] - p.X[0]
	p.Penalty = set.PenaltyM * math.Max(0.5, math.Sqrt(length/100e3))
	over := math.Max(1, math.Sqrt(length/200e3))
	p.LongM = longLegM * over
	most := len(p.Forced) + int(mostLegs*over)
	for {
		p.PenaltyAt = prices(s, p.Penalty)
		cuts, _, err := Cut(ctx, p)
		if err != nil || len(cuts)-1 <= most {
			return cuts, err
		}
		p.Penalty *= 1.4 // ends: at a high price only forced cuts are left, and those that LongM asks for
		p.LongM *= 1.2
	}
}

// prices gives every sample its price as a place to cut: infinite but for places that a person could find
// again, and less for those that are plain to see.
func prices(s *geo.Survey, price float64) []float64 {
	at := make([]float64, len(s.Samples))
	for i := range at {
		at[i] = math.Inf(1)
	}
	for i, p := range places(s) {
		if p == plain {
			at[i] = price * placeDiscount
		} else if p == findable {
			at[i] = price
		}
	}
	return at
}

// keptChanges finds where the route leaves or reaches the maintained road or the ground data: the
// sequence of three states with the least length in the wrong state plus keptFlipM a change (exact, by
// dynamic programming). Without ground data there are none.
func keptChanges(s *geo.Survey) []Must {
	const (
		other = iota
		kept
		unknown
		states
	)
	n := len(s.Samples)
	state := func(i int) int {
		switch q := &s.Samples[i]; {
		case q.Way < 0 && !q.InRegion:
			return unknown
		case q.Kept:
			return kept
		}
		return other
	}
	var total [states]float64
	from := make([][states]uint8, n)
	for i := 0; i+1 < n; i++ {
		w := s.Samples[i+1].DistanceM - s.Samples[i].DistanceM
		is := state(i)
		best := 0
		for k := range total {
			if total[k] < total[best] {
				best = k
			}
		}
		next := total
		for k := range next {
			from[i][k] = uint8(k)
			if i > 0 && total[best]+keptFlipM < total[k] {
				next[k], from[i][k] = total[best]+keptFlipM, uint8(best)
			}
			if k != is {
				next[k] += w
			}
		}
		total = next
	}
	at := 0
	for k := range total {
		if total[k] < total[at] {
			at = k
		}
	}
	var out []Must
	for i := n - 2; i > 0; i-- {
		before := int(from[i][at])
		if before != at {
			out = append(out, Must{i, changeWords[before][at]})
			at = before
		}
	}
	for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
		out[i], out[j] = out[j], out[i]
	}
	return out
}

var changeWords = [3][3]string{
	{"", "reaches a maintained road", "the ground data end here"},
	{"leaves the maintained road", "", "the ground data end here"},
	{"the ground data begin here", "the ground data begin here, on a maintained road", ""},
}

// name gives each leg that has none the name of the way it follows most, else of the pass it goes over,
// else its number; a name that another leg has gets a number behind it. Names given by hand stay as they are.
func name(legs []geo.Leg, s *geo.Survey) {
	taken := map[string]int{}
	for k := range legs {
		if legs[k].Name != "" {
			taken[legs[k].Name]++
		}
	}
	for k := range legs {
		if legs[k].Name != "" {
			continue
		}
		legs[k].Name = mainName(s, legs[k])
		if legs[k].Name == "" {
			legs[k].Name = passName(s, legs[k])
		}
		if legs[k].Name == "" {
			legs[k].Name = fmt.Sprintf("Leg %d", k+1)
		}
		taken[legs[k].Name]++
		if c := taken[legs[k].Name]; c > 1 {
			legs[k].Name = fmt.Sprintf("%s (%d)", legs[k].Name, c)
		}
	}
}

// passName names a leg after the first named pass on it.
func passName(s *geo.Survey, l geo.Leg) string {
	for _, m := range s.Marks {
		if m.Kind == geo.MarkPass && m.Name != "" && m.DistanceM >= s.Samples[l.From].DistanceM && m.DistanceM < s.Samples[l.To].DistanceM {
			return "Over " + m.Name
		}
	}
	return ""
}

// namedShare is the part of a leg that must follow ways of one name for the leg to bear it. Judgement.
const namedShare = 0.3

func mainName(s *geo.Survey, l geo.Leg) string {
	length := map[string]float64{}
	best := ""
	for i := l.From; i < l.To; i++ {
		w := s.Samples[i].Way
		if w < 0 || int(w) >= len(s.Ways) || s.Ways[w].Name == "" {
			continue
		}
		n := s.Ways[w].Name
		length[n] += s.Samples[i+1].DistanceM - s.Samples[i].DistanceM
		if best == "" || length[n] > length[best] {
			best = n
		}
	}
	if best != "" && length[best] >= namedShare*(s.Samples[l.To].DistanceM-s.Samples[l.From].DistanceM) {
		return best
	}
	return ""
}
