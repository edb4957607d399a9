package geo

import "testing"

// Hot paths take nothing from the heap once their answer has a place: what is read per metre of a route.
func TestResamplingIntoASliceAllocatesNothing(t *testing.T) {
	line := wiggle(5000)
	dst := Stations(nil, line, 7.4)
	var cum []float64
	cum = Cumulative(cum, line)
	for name, f := range map[string]func(){
		"stations":   func() { dst = Stations(dst[:0], line, 7.4) },
		"cumulative": func() { cum = Cumulative(cum[:0], line) },
		"length":     func() { Length(line) },
		"distance":   func() { Distance(line[0], line[4999]) },
	} {
		if n := testing.AllocsPerRun(10, f); n != 0 {
			t.Errorf("%s: %g allocations a call, want 0", name, n)
		}
	}
}
