package risk

import (
	"strconv"
	"strings"

	"lastroad/geo"
	"lastroad/risk/coverage"
)

// groundsHere are the grounds that the route may have.
func (st *study) groundsHere() [geo.NumGrounds]bool {
	var here [geo.NumGrounds]bool
	for i := range st.x.pieces {
		p := &st.x.pieces[i]
		if p.Ford {
			here[geo.Ford] = true
		}
		for g, w := range st.survey.Grounds[p.Mix].P {
			here[g] = here[g] || w > 0
		}
	}
	// Rates that are not per kilometre stand under the first ground, and so does the floor of readiness.
	here[geo.Sealed] = true
	return here
}

// premisesHere tells which premises of the survey a crossing of the route rests on.
func (st *study) premisesHere() []bool {
	here := make([]bool, len(st.survey.Premises))
	for i := range st.x.pieces {
		for _, k := range st.x.pieces[i].Rests {
			if k > 0 {
				here[k-1] = true
			}
		}
	}
	return here
}

// groundOf is the ground class that the key of a number ends with, if it does.
func groundOf(key string) (geo.Ground, bool) {
	i := strings.LastIndexByte(key, '/')
	g, ok := geo.ParseGround(key[i+1:])
	return g, ok && g != geo.Unknown
}

// hasPrefix reports whether path begins with list.n. (counted from 1).
func hasPrefix(path, list string, n int) bool {
	return strings.HasPrefix(path, list+"."+strconv.Itoa(n)+".")
}

// idle tells the numbers of recipes that cannot move readiness on this trip: the chance of a recipe that is open to
// the party nowhere on the route, and the minutes of one that does not ask for daylight.
func (st *study) idle(key string) bool {
	kind, name, _ := strings.Cut(key, "/")
	if kind != "chance" && kind != "minutes" {
		return false
	}
	for ri := range st.cat.Recipes {
		if r := &st.cat.Recipes[ri]; r.Key == name {
			return kind == "minutes" && !r.Daylight || kind == "chance" && !st.open(ri)
		}
	}
	return false
}

// open reports whether a recipe can be used in any situation of the route, alone or together, or by the second
// vehicle for itself.
func (st *study) open(recipe int) bool {
	return opens(st.m, recipe) || st.partner != nil && opens(st.partner.model, recipe)
}

func opens(m *coverage.Model, recipe int) bool {
	for i := range m.Classes {
		c := &m.Classes[i]
		for _, rs := range [][]coverage.Recipe{c.Solo, c.Together} {
			for k := range rs {
				if int(rs[k].Key) == recipe {
					return true
				}
			}
		}
	}
	return false
}
