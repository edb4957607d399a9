package recovery

import (
	"encoding/json"
	"testing"

	"lastroad/geo"
)

// loadedKit is a kit that a careful traveller carries, ratings in tonnes turned into kN.
func loadedKit() Kit {
	return Kit{
		Winch: &Winch{RatedKN: KN(4310), Rope: Rope{Material: HMPE, DiameterMM: 10, LengthM: 26}},
		Gear: []Gear{
			{Key: "block", Kind: Block, Count: 2, WLLKN: KN(8000)},
			{Key: "shackle", Kind: Shackle, Count: 6, WLLKN: KN(4750)},
			{Key: "soft", Kind: SoftShackle, Count: 2, MBSKN: KN(14000)},
			{Key: "tree", Kind: TreeStrap, LengthM: 3, MBSKN: KN(12000)},
			{Key: "ext", Kind: Strap, LengthM: 20, MBSKN: KN(12000)},
			{Key: "front", Kind: FramePoint, Place: "front", WLLKN: KN(5000)},
			{Key: "front2", Kind: FramePoint, Place: "front", WLLKN: KN(5000)},
			{Key: "damper", Kind: Damper},
		},
	}
}

func TestPlanSmoke(t *testing.T) {
	tab := tables(t)
	w, err := tab.Plan(Stuck{MassKg: 2900, Ground: geo.Mud, Depth: Hub, Grade: 0.12}, loadedKit(), Site{Anchors: []Anchor{{Kind: Tree, TrunkMM: 400}}, DistanceM: 12})
	if err != nil {
		t.Fatal(err)
	}
	b, err := json.MarshalIndent(w, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	t.Log(string(b))
}
