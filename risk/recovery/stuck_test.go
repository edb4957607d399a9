package recovery

import (
	"strings"
	"testing"

	"lastroad/geo"
)

// Nothing sinks into bare rock and nobody digs there.
func TestBareRockIsNoSoftGround(t *testing.T) {
	tab := tables(t)
	for ground, want := range map[geo.Ground]struct{ state, cure string }{
		geo.Mud:       {"2950 kg in mud, sunk to the hubs, 6 % up", "Otherwise dig"},
		geo.LedgeRock: {"2950 kg in ledge rock, wedged to the hubs, 6 % up", "Otherwise jack"},
	} {
		s := Stuck{MassKg: 2950, Ground: ground, Depth: Hub, Grade: 0.06}
		if got := s.String(); got != want.state {
			t.Errorf("%q, want %q", got, want.state)
		}
		w, err := tab.Plan(s, Kit{}, Site{})
		if err != nil {
			t.Fatal(err)
		}
		if len(w.Cures) != 1 || !strings.Contains(w.Cures[0].Text, want.cure) {
			t.Errorf("%s: cures %+v, want %q", ground, w.Cures, want.cure)
		}
	}
}
