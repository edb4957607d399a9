package recovery

import (
	"slices"
	"strings"
	"testing"

	"lastroad/geo"
)

// Nothing sinks into bare rock and nobody digs there.
func TestBareRockIsNoSoftGround(t *testing.T) {
	tab := tables(t)
	for ground, want := range map[geo.Ground]struct{ state, resistance, cure string }{
		geo.Mud:       {"2950 kg in mud, sunk to the hubs, 6 % up", "Sunk to the hubs: ", "Otherwise dig"},
		geo.LedgeRock: {"2950 kg in ledge rock, wedged to the hubs, 6 % up", "Wedged to the hubs: ", "Otherwise jack"},
	} {
		s := Stuck{MassKg: 2950, Ground: ground, Depth: Hub, Grade: 0.06}
		if got := s.String(); got != want.state {
			t.Errorf("%q, want %q", got, want.state)
		}
		w, err := tab.Plan(s, Kit{}, Site{})
		if err != nil {
			t.Fatal(err)
		}
		if i := slices.IndexFunc(w.Pull.Steps, func(s Step) bool { return s.Key == "resistance" }); i < 0 || !strings.HasPrefix(w.Pull.Steps[i].Text, want.resistance) {
			t.Errorf("%s: steps %+v, want %q", ground, w.Pull.Steps, want.resistance)
		}
		if len(w.Cures) != 1 || !strings.Contains(w.Cures[0].Text, want.cure) {
			t.Errorf("%s: cures %+v, want %q", ground, w.Cures, want.cure)
		}
	}
}
