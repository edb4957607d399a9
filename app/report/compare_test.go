package report

import "testing"

func TestChange(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     string
	}{{-0.0004, 3, "0"}, {0.0004, 3, "0"}, {0, 2, "0"}, {-0.0006, 3, "-0.001"}, {1.234, 2, "+1.23"}, {-12, 2, "-12.00"}} {
		if got := change(c.v, c.decimals); got != c.want {
			t.Errorf("change(%g, %d) = %q, want %q", c.v, c.decimals, got, c.want)
		}
	}
}
