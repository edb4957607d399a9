package geo

import (
	"math"
	"sort"
)

// Exit is a place where the route is left for a place of help.
type Exit struct {
	Kind   HelpKind
	Sample int   // index into Survey.Samples: where the route is left
	Place  int32 // index into Survey.Help
	// OffM and OffMin are the metres and minutes from the sample to the place: by driving along ways, and
	// on foot where the place lies beside the last of them.
	OffM, OffMin float64
}

// Drive is a journey to a place of help: along the route to an exit, and on from there along ways.
type Drive struct {
	M, Min float64
	Place  int32 // index into Survey.Help
	Exit   int   // sample at which the route is left
	// AtMost is true where a place of the kind may lie nearer beyond the edge of the data.
	AtMost bool
}

// HelpAtMost reports whether the straight distance to the nearest place of a kind is only the most that it can
// be, since a nearer place may lie beyond the edge of the data. It is false where no place is known.
func (q *Sample) HelpAtMost(k HelpKind) bool { return q.HelpM[k] > q.EdgeM }

// HelpAhead is the quickest drive from sample i to a place of a kind when one goes on along the route and
// leaves it at any exit; ok is false when none is known.
func (s *Survey) HelpAhead(i int, k HelpKind) (d Drive, ok bool) {
	exits := s.exits(k)
	best := math.Inf(1)
	q := &s.Samples[i]
	for _, e := range exits[sort.Search(len(exits), func(n int) bool { return exits[n].Sample >= i }):] {
		min := (s.Samples[e.Sample].DriveS - q.DriveS) / 60
		if min >= best {
			break
		}
		if min+e.OffMin < best {
			best = min + e.OffMin
			d, ok = s.drive(q, &e, min), true
		}
	}
	return d, ok
}

// HelpBack is the same when one turns round and drives the route back, at the pace at which it was driven in.
func (s *Survey) HelpBack(i int, k HelpKind) (d Drive, ok bool) {
	exits := s.exits(k)
	best := math.Inf(1)
	q := &s.Samples[i]
	for n := sort.Search(len(exits), func(n int) bool { return exits[n].Sample > i }) - 1; n >= 0; n-- {
		e := &exits[n]
		min := (q.DriveS - s.Samples[e.Sample].DriveS) / 60
		if min >= best {
			break
		}
		if min+e.OffMin < best {
			best = min + e.OffMin
			d, ok = s.drive(q, e, min), true
		}
	}
	return d, ok
}

// HelpDrive is the quicker of HelpAhead and HelpBack; ahead tells which one, going on winning a tie.
func (s *Survey) HelpDrive(i int, k HelpKind) (d Drive, ahead, ok bool) {
	a, okA := s.HelpAhead(i, k)
	b, okB := s.HelpBack(i, k)
	if okA && (!okB || a.Min <= b.Min) {
		return a, true, true
	}
	return b, false, okB
}

func (s *Survey) drive(q *Sample, e *Exit, min float64) Drive {
	d := Drive{M: math.Abs(s.Samples[e.Sample].DistanceM-q.DistanceM) + e.OffM, Min: min + e.OffMin, Place: e.Place, Exit: e.Sample}
	d.AtMost = d.M > q.EdgeM
	return d
}

// exits are those of one kind.
func (s *Survey) exits(k HelpKind) []Exit {
	from := sort.Search(len(s.Exits), func(n int) bool { return s.Exits[n].Kind >= k })
	to := from + sort.Search(len(s.Exits)-from, func(n int) bool { return s.Exits[from+n].Kind > k })
	return s.Exits[from:to]
}
