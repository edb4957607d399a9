package risk

import (
	"strconv"
	"strings"

	"lastroad/geo"
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
