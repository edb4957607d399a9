package risk

import (
	"math"
	"testing"
)

// The chances were reckoned by hand: 1/p to two figures up to a half, ten times p above.
func TestOneIn(t *testing.T) {
	for _, c := range []struct {
		p    float64
		want string
	}{
		{math.NaN(), "?"}, {0, "under 1 in a million"}, {9e-7, "under 1 in a million"}, {1e-6, "1 in 1000000"},
		{1 / 1234.0, "1 in 1200"}, {0.01, "1 in 100"}, {1 / 42.4, "1 in 42"}, {1 / 9.96, "1 in 10"}, {0.3, "1 in 3.3"}, {0.5, "1 in 2"},
		{0.501, "5 in 10"}, {0.75, "8 in 10"}, {0.949, "9 in 10"}, {0.95, "nearly sure"}, {1, "nearly sure"},
	} {
		if got := OneIn(c.p); got != c.want {
			t.Errorf("%g: %q, want %q", c.p, got, c.want)
		}
	}
}
