package coverage

import "fmt"

// Thing is something whose presence is uncertain.
type Thing struct {
	Key string
	// UsedUp things are stocks: Units of our own (whole uses) and Surplus that a partner could spare.
	UsedUp         bool
	Units, Surplus int
	// Chance is the availability of a thing that is not used up, 0..1, without a partner; Together
	// with one (at least Chance).
	Chance, Together float64
}

// Event is one kind of trouble.
type Event struct {
	Key string
	// Uses are the stocks that some recipe of the catalogue would use for it, whatever is carried: the
	// running need counts every one of them, which is conservative and keeps readiness from falling
	// when something is added.
	Uses []Use
	Help int // which of the two [Help] of a piece applies: 0 the vehicle's, 1 the people's
}

// Use is how many units of a stock one event takes.
type Use struct {
	Thing int32
	Units float64
}

// Class is the set of recipes for one kind of trouble in one situation.
type Class struct {
	Beta      float64 // share of failures with one cause, central
	BetaInput int32   // -1 = not uncertain
	// Partner is 1 - the chance that the same cause takes the partner too; the partner is there with
	// Partner x (1 - chance that it is already out).
	Partner      float64
	PartnerInput int32
	Atoms        []int32 // things, at most MaxAtoms
	// Takes says, per atom, what using it takes from the stocks; only the simulation asks. Missing entries
	// take nothing.
	Takes [][]Use
	Solo  []Recipe
	// Together must offer at least what Solo offers; empty when there is no partner.
	Together []Recipe
}

// Part is one source of a cell's mean: a rate number, and the mixture weight it hangs on.
type Part struct {
	Mean, Worst float64
	Rate, Wide  int32 // inputs that multiply it; -1 = none
	Mix         int32 // input of kind Choice; -1 = the ground is known
	Pick        int32 // the choice that this part belongs to
	Weight      float64
	// Chances are inputs of kind Chance that the means hang on, each with its central value in them.
	Chances []int32
}

// Cell is one kind of trouble on one piece.
type Cell struct {
	Event, Class int32
	// Mean is the expected number, Worst the same at the adverse case (never less).
	Mean, Worst float64
	// Model.Parts[From:To] split Mean and Worst by their uncertain inputs; none = not uncertain. (Cells are many and hold no
	// pointer, so that the collector passes them by.)
	From, To int32
}

// Help is outside help for a piece, in hours.
type Help struct {
	MedianH, EF, DelayH, TauH float64
}

// Piece is a stretch on which everything is alike. Cells First up to, not including, Last are its own.
type Piece struct {
	First, Last int
	// Floor is the least denominator of the piece.
	Floor float64
	// Aside is set where the troubles of the piece may have no place at all: they cost, but do not add to the denominator,
	// which would make a route with more of them seem better covered.
	Aside bool
	Help  [2]Help
	// PartnerMean is the expected number of the partner's own unended troubles here.
	PartnerMean float64
}

// Model is a whole trip in numbers.
type Model struct {
	Omega      float64 // what being rescued still costs, 0..1
	OmegaInput int32
	HelpInput  int32 // multiplies every median of help; -1 = none
	Common     int32 // multiplies every mean; -1 = none
	Together   bool  // the partner comes along
	// Learnt says that means come from a user's log: they may lie above the adverse case, which does not.
	Learnt  bool
	Things  []Thing
	Events  []Event
	Classes []Class
	Pieces  []Piece
	Cells   []Cell
	Parts   []Part
	Inputs  []Input
	// Running, when set, gives for each thing the running need after 0, 1, 2... pieces, in place of the sum
	// over the cells: for a model that holds only some of the events.
	Running [][]float64
	// InTime, when set, is the chance that help is in time on every piece, see [Work.InTime], in place of what the pieces'
	// Help gives: for many models of one route. HelpInput must then be -1.
	InTime [][2]float64
}

// Check finds what would make the arithmetic meaningless: indexes out of range, chances outside 0..1,
// a mean above its adverse case, too many uncertain things. It is for the builder of models and its tests.
func (m *Model) Check() error {
	for i, c := range m.Classes {
		if len(c.Atoms) > MaxAtoms {
			return fmt.Errorf("class %d has %d uncertain things, at most %d are allowed", i, len(c.Atoms), MaxAtoms)
		}
		for _, a := range c.Atoms {
			if int(a) >= len(m.Things) {
				return fmt.Errorf("class %d names thing %d of %d", i, a, len(m.Things))
			}
		}
		for _, rs := range [][]Recipe{c.Solo, c.Together} {
			for _, r := range rs {
				if !(r.Chance >= 0 && r.Chance <= 1 && r.Scale >= 0 && r.Scale <= 1) {
					return fmt.Errorf("class %d: chance %g with scale %g is outside 0..1", i, r.Chance, r.Scale)
				}
				for _, n := range r.Needs {
					if n == 0 || int(n) >= 1<<len(c.Atoms) {
						return fmt.Errorf("class %d: recipe %d asks for mask %b of %d atoms", i, r.Key, n, len(c.Atoms))
					}
				}
			}
		}
		if !(c.Beta >= 0 && c.Beta <= 1 && c.Partner >= 0 && c.Partner <= 1) {
			return fmt.Errorf("class %d: beta %g or partner %g is outside 0..1", i, c.Beta, c.Partner)
		}
	}
	at := 0
	for i, p := range m.Pieces {
		if p.First != at || p.Last < p.First || p.Last > len(m.Cells) {
			return fmt.Errorf("piece %d holds cells %d to %d, want them to start at %d", i, p.First, p.Last, at)
		}
		at = p.Last
	}
	if at != len(m.Cells) {
		return fmt.Errorf("pieces hold %d of %d cells", at, len(m.Cells))
	}
	for i, c := range m.Cells {
		if !(c.Mean >= 0 && c.Worst >= 0 && (m.Learnt || c.Worst >= c.Mean*(1-1e-12))) {
			return fmt.Errorf("cell %d: mean %g, adverse case %g", i, c.Mean, c.Worst)
		}
		if c.From < 0 || c.To < c.From || int(c.To) > len(m.Parts) {
			return fmt.Errorf("cell %d has parts %d to %d of %d", i, c.From, c.To, len(m.Parts))
		}
		if int(c.Event) >= len(m.Events) || int(c.Class) >= len(m.Classes) {
			return fmt.Errorf("cell %d names event %d and class %d", i, c.Event, c.Class)
		}
	}
	return nil
}
