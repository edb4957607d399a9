package papers

import (
	"testing"

	"lastroad/geo"
)

// A doctor far along the route is listed before the many villages passed earlier.
func TestPlacesOfHelpMostUrgentFirst(t *testing.T) {
	var all []geo.Place
	for i := range 30 {
		all = append(all, geo.Place{Kind: geo.HelpSettlement, Name: "village", RouteM: float64(i) * 100, OffM: float64(40 - i)})
	}
	all = append(all, geo.Place{Kind: geo.HelpFuel, Name: "fuel"}, geo.Place{Kind: geo.HelpMedical, Name: "doctor", RouteM: 9e5})
	got := helpPlaces(all)
	if len(got) != 9 || got[0].Name != "doctor" {
		t.Fatalf("%d places, the first %q; want the doctor and 8 villages", len(got), got[0].Name)
	}
	for i, p := range got[1:] { // the 8 nearest were passed last, from 2,200 m on
		if want := float64(22+i) * 100; p.RouteM != want {
			t.Errorf("village %d lies at %.0f m, want %.0f", i+1, p.RouteM, want)
		}
	}
}
