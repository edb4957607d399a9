package plot

import (
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/risk/recovery"
)

// turning is a site whose line goes round a block, its legs opening by deg.
func turning(deg float64) recovery.Site {
	return recovery.Site{Anchors: []recovery.Anchor{{Kind: recovery.Tree, TrunkMM: 400}}, DistanceM: 12,
		Turn: &recovery.Turn{AngleDeg: deg, DistanceM: 6, Anchor: recovery.Anchor{Kind: recovery.Tree, TrunkMM: 350}}}
}

// rigs are one working for each way a rig is laid out.
func rigs(t *testing.T) map[string]recovery.Diagram {
	t.Helper()
	data, file := assets.Table("recovery")
	tab, err := recovery.ParseTables(data, file)
	if err != nil {
		t.Fatal(err)
	}
	kit := recovery.Kit{
		Winch: &recovery.Winch{RatedKN: recovery.KN(4310), Rope: recovery.Rope{Material: recovery.HMPE, DiameterMM: 10, LengthM: 26}},
		Gear: []recovery.Gear{
			{Key: "block", Kind: recovery.Block, Count: 2, WLLKN: recovery.KN(8000)},
			{Key: "shackle", Kind: recovery.Shackle, Count: 6, WLLKN: recovery.KN(4750)},
			{Key: "tree", Kind: recovery.TreeStrap, LengthM: 3, MBSKN: recovery.KN(12000)},
			{Key: "ext", Kind: recovery.Strap, LengthM: 20, MBSKN: recovery.KN(12000)},
			{Key: "front", Kind: recovery.FramePoint, Place: "front", WLLKN: recovery.KN(8000)},
		},
	}
	out := map[string]recovery.Diagram{}
	for name, c := range map[string]struct {
		s  recovery.Stuck
		at recovery.Site
	}{
		"single":    {recovery.Stuck{MassKg: 2500, Ground: geo.Sand, Depth: recovery.Tread}, recovery.Site{Anchors: []recovery.Anchor{{Kind: recovery.Tree, TrunkMM: 400}}, DistanceM: 18}},
		"one_block": {recovery.Stuck{MassKg: 2900, Ground: geo.Mud, Depth: recovery.Hub, Grade: 0.12}, recovery.Site{Anchors: []recovery.Anchor{{Kind: recovery.Tree, TrunkMM: 400}}, DistanceM: 11}},
		"extended":  {recovery.Stuck{MassKg: 2500, Ground: geo.Sand, Depth: recovery.Sidewall}, recovery.Site{Anchors: []recovery.Anchor{{Kind: recovery.Tree, TrunkMM: 400}}, DistanceM: 34}},
		"turn_60":   {recovery.Stuck{MassKg: 2500, Ground: geo.Sand, Depth: recovery.Tread}, turning(60)},
		"turn_90":   {recovery.Stuck{MassKg: 2500, Ground: geo.Sand, Depth: recovery.Tread}, turning(90)},
		"turn_150":  {recovery.Stuck{MassKg: 2500, Ground: geo.Sand, Depth: recovery.Tread}, turning(150)},
		"turn_20":   {recovery.Stuck{MassKg: 2500, Ground: geo.Sand, Depth: recovery.Tread}, turning(20)},
		"many":      {recovery.Stuck{MassKg: 4200, Ground: geo.Mud, Depth: recovery.Hub, Grade: 0.15}, recovery.Site{Anchors: []recovery.Anchor{{Kind: recovery.Tree, TrunkMM: 700}}, DistanceM: 6}},
	} {
		w, err := tab.Plan(c.s, kit, c.at)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out[name] = w.Diagram()
	}
	return out
}

func TestRigsAreDrawnWithTheirForces(t *testing.T) {
	for name, d := range rigs(t) {
		if len(d.Nodes) < 3 || len(d.Legs) < 1 {
			t.Fatalf("%s: %d nodes and %d legs, want at least 3 and 1", name, len(d.Nodes), len(d.Legs))
		}
		fonts, err := NewFonts(goregular.TTF, gobold.TTF)
		if err != nil {
			t.Fatal(err)
		}
		img := image.NewRGBA(image.Rect(0, 0, 720, 220))
		r := NewRaster(fonts)
		r.Begin(img)
		DrawRig(r, d, Light(), 1)
		var inked int
		for i := 0; i < len(img.Pix); i += 4 {
			if img.Pix[i] < 120 {
				inked++
			}
		}
		if inked < 1500 {
			t.Errorf("%s: only %d dark pixels: nothing was drawn", name, inked)
		}
		if dir := os.Getenv("LASTROAD_PICTURES"); dir != "" {
			f, err := os.Create(filepath.Join(dir, name+".png"))
			if err != nil {
				t.Fatal(err)
			}
			png.Encode(f, img)
			f.Close()
		}
		for _, l := range d.Legs {
			if !(l.ForceKN > 0) || math.IsNaN(l.X1+l.X2+l.Y1+l.Y2) {
				t.Errorf("%s: a line from %s to %s has force %v and ends %v %v", name, l.From, l.To, l.ForceKN, l.X1, l.X2)
			}
		}
	}
}
