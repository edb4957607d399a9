package risk

import (
	"strings"
	"testing"
)

func TestLegWords(t *testing.T) {
	for _, c := range []struct {
		legs []int
		want string
	}{
		{[]int{4}, "leg 5"},
		{[]int{4, 5}, "legs 5 and 6"},
		{[]int{4, 7, 8, 13}, "legs 5, 8, 9 and 14"},
		{[]int{0, 1, 2, 3}, "legs 1–4"},
		{[]int{1, 4, 5, 6, 9, 10}, "legs 2, 5–7, 10 and 11"},
	} {
		if got := legWords(c.legs); got != c.want {
			t.Errorf("%v: %q, want %q", c.legs, got, c.want)
		}
	}
	if r := Runs(nil); len(r) != 0 {
		t.Errorf("runs of nothing: %s", strings.Join(r, ", "))
	}
}
