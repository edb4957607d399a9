package coverage

// Recipe is one way to end a kind of trouble, as far as it is still open: what is surely present has
// been struck off, a recipe that surely lacks something is not here.
type Recipe struct {
	Chance float64 // of working when everything is there, central, 0..1
	// Scale in 0..1 multiplies the chance: the margin of the weakest link of a chain of forces.
	Scale float64
	// Input is the index of the uncertain input that replaces Chance in samples; -1 = none.
	Input int32
	// Needs are masks over the atoms of the class: of every mask at least one atom must be present.
	Needs []uint16
	Key   int32 // the caller's number of the recipe, carried along
}

// MaxAtoms bounds the uncertain things of one class; its table has 2^MaxAtoms states.
const MaxAtoms = 12

// Fail is the chance that none of the recipes with the given chances ends the trouble when part beta
// of their failures has one cause: beta min(1-p) + (1-beta) prod(1-p). No recipe gives 1.
func Fail(beta float64, chance ...float64) float64 {
	if len(chance) == 0 {
		return 1
	}
	least, product := 1.0, 1.0
	for _, p := range chance {
		least = min(least, 1-p)
		product *= 1 - p
	}
	return beta*least + (1-beta)*product
}

// failTable fills dst (2^n states of n atoms, bit i = atom i present) with Fail of the usable recipes.
// The chance of each recipe in chance is already the sampled one.
func failTable(dst []float64, beta float64, recipes []Recipe, chance []float64) {
	for state := range dst {
		least, product := 1.0, 1.0
		for i := range recipes {
			if usable(recipes[i].Needs, uint16(state)) {
				f := 1 - chance[i]
				least = min(least, f)
				product *= f
			}
		}
		dst[state] = beta*least + (1-beta)*product
	}
}

func usable(needs []uint16, state uint16) bool {
	for _, mask := range needs {
		if mask&state == 0 {
			return false
		}
	}
	return true
}

// fold averages a table over independent atoms with the given chances of being present.
// scratch must hold at least half of the table.
func fold(table []float64, present []float64, scratch []float64) float64 {
	switch len(present) {
	case 0:
		return table[0]
	case 1:
		a := present[0]
		return (1-a)*table[0] + a*table[1]
	case 2:
		a, b := present[0], present[1]
		return (1-b)*((1-a)*table[0]+a*table[1]) + b*((1-a)*table[2]+a*table[3])
	}
	n := len(table) / 2
	a := present[0]
	for i := 0; i < n; i++ {
		scratch[i] = (1-a)*table[2*i] + a*table[2*i+1]
	}
	for _, a := range present[1:] {
		n /= 2
		for i := 0; i < n; i++ {
			scratch[i] = (1-a)*scratch[2*i] + a*scratch[2*i+1]
		}
	}
	return scratch[0]
}
