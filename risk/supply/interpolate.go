package supply

import (
	"math"
	"sort"
)

// along interpolates y(x) linearly in a table of rising x; outside it holds the first value below and
// goes on with the last slope above when extend is set, else holds the last value.
func along(xs, ys []float64, x float64, extend bool) float64 {
	n := len(xs)
	if x <= xs[0] || math.IsNaN(x) {
		return ys[0]
	}
	i := sort.SearchFloat64s(xs, x)
	if i >= n {
		if !extend {
			return ys[n-1]
		}
		i = n - 1
	}
	f := (x - xs[i-1]) / (xs[i] - xs[i-1])
	return ys[i-1] + f*(ys[i]-ys[i-1])
}
