package risk

import (
	"fmt"
	"math"
)

// leastGroundChance is the chance from which a ground that is only possible sets the design recovery of a leg.
// Judgement: a design case that holds for one stretch in five must be met; below that the words "in mud" on a
// track that is most likely firm would mislead, and the odds count the rest.
const leastGroundChance = 0.2

// leastBogShare is the share of a leg's boggings from which a ground and grade set the design recovery.
const leastBogShare = 1.0 / 20

// bogPlace is a ground and grade on which a leg may bog.
type bogPlace struct {
	at     place
	mean   float64 // expected number on the leg
	chance float64 // of the ground where it is likeliest on the leg
	known  bool    // the ground is told by tags, an area or the user where it is likeliest
}

// design is the recovery that a leg must be able to make: the deep bogging (to the hubs) where it asks for the
// largest pull, among the grounds that hold at least a twentieth of the leg's bogging and are there with a
// chance of at least one in five; where no ground is, on the likeliest. Among equal pulls the ground with most of
// the bogging counts.
func (st *study) design(parts []pieceShare) *PullNeed {
	e, ok := st.cat.EventIndex("bogged/deep")
	if !ok {
		return nil
	}
	var places []bogPlace
	total := 0.0
	for _, q := range parts {
		mix := &st.survey.Grounds[st.x.pieces[q.piece].Mix]
		for j := st.m.Pieces[q.piece].First; j < st.m.Pieces[q.piece].Last; j++ {
			if int(st.m.Cells[j].Event) != e {
				continue
			}
			at := st.b.sit[st.m.Cells[j].Class].at
			chance := mix.P[at.Ground]
			k := 0
			for k < len(places) && places[k].at != at {
				k++
			}
			if k == len(places) {
				places = append(places, bogPlace{at: at})
			}
			places[k].mean += st.m.Cells[j].Mean * q.share
			if chance > places[k].chance || chance == places[k].chance && mix.Known {
				places[k].chance, places[k].known = chance, mix.Known
			}
			total += st.m.Cells[j].Mean * q.share
		}
	}
	if total < 1e-6 {
		return nil
	}
	likeliest := 0.0
	for _, p := range places {
		likeliest = math.Max(likeliest, p.chance)
	}
	best, bestKN := -1, -1.0
	for k, p := range places {
		if p.chance < math.Min(leastGroundChance, likeliest) || p.mean < total*leastBogShare {
			continue
		}
		pull, err := st.cat.Recovery.PullKN(stuckAt(st.solo, "hub", p.at))
		if err != nil {
			continue
		}
		if d := pull.CentralKN - bestKN; d > 1e-9 || d > -1e-9 && p.mean > places[best].mean {
			best, bestKN = k, pull.CentralKN
		}
	}
	if best < 0 {
		// Every ground that is likely enough bogs too rarely to count: the one with most of it.
		for k, p := range places {
			if p.chance >= math.Min(leastGroundChance, likeliest) && (best < 0 || p.mean > places[best].mean) {
				best = k
			}
		}
	}
	n := st.pullNeed(places[best].at)
	if n == nil {
		return nil
	}
	n.Ground, n.GroundChance = places[best].at.Ground, places[best].chance
	if n.GroundChance < 0.995 && !places[best].known {
		n.GroundNote = fmt.Sprintf("the ground is not known here; it is %s with a chance of %.0f in 100", n.Ground, 100*n.GroundChance)
	}
	return n
}
