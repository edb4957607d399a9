package recovery

import (
	"errors"
	"math"
	"strings"
	"testing"

	"lastroad/assets"
	"lastroad/geo"
)

// Every entry refuses figures that are negative, zero where that means nothing, not a number or absurd,
// with an error that names the field and the allowed range.
func TestEntriesRefuseBadFigures(t *testing.T) {
	tab, y := tables(t), tyres(t)
	lt := size(t, "LT265/75R16")
	type try struct {
		name string
		bad  []float64
		call func(v float64) error
	}
	nan, inf := math.NaN(), math.Inf(1)
	for _, r := range []try{
		{"pull: mass", []float64{-1, 0, nan, inf, 9e5}, func(v float64) error { _, err := tab.RequiredPull(Stuck{MassKg: v}); return err }},
		{"pull: grade", []float64{-2, nan, inf, 50}, func(v float64) error { _, err := tab.RequiredPull(Stuck{MassKg: 2000, Grade: v}); return err }},
		{"spool: rope", []float64{-1, 0, nan, 200}, func(v float64) error {
			_, err := tab.Spool(Winch{RatedKN: 40, Rope: Rope{Material: Steel, DiameterMM: v, LengthM: 20}}, 1)
			return err
		}},
		{"spool: line out", []float64{-1, nan}, func(v float64) error {
			_, err := tab.Spool(Winch{RatedKN: 40, Rope: Rope{Material: Steel, DiameterMM: 9, LengthM: 20}}, v)
			return err
		}},
		{"rigger: distance", []float64{-1, nan, 1e6}, func(v float64) error { _, err := tab.Rigger(loadedKit(), Site{DistanceM: v}); return err }},
		{"rigger: rating", []float64{-1, nan, 1e6}, func(v float64) error {
			k := loadedKit()
			k.Gear[0].WLLKN = v
			_, err := tab.Rigger(k, treeAt(10))
			return err
		}},
		{"deadman: force", []float64{-1, 0, nan, 1e5}, func(v float64) error { _, err := tab.DeadmanLength(v, 1.2, 1, 0.3, true, "loam"); return err }},
		{"deadman: face", []float64{-1, 0, nan, 30}, func(v float64) error { _, err := tab.DeadmanLength(20, 1.2, 1, v, true, "loam"); return err }},
		{"deadman: depth", []float64{-1, 0, nan, 0.3}, func(v float64) error { _, err := tab.DeadmanLength(20, v, 1, 0.3, true, "loam"); return err }},
		{"deadman: slope", []float64{-1, nan, 3}, func(v float64) error { _, err := tab.DeadmanLength(20, 1.2, v, 0.3, true, "loam"); return err }},
		{"anchor: vehicle", []float64{-1, nan, 9e5}, func(v float64) error { _, err := tab.AnchorHold(Anchor{Kind: Vehicle, MassKg: v}); return err }},
		{"anchor: trunk", []float64{-1, nan, 1e6}, func(v float64) error { _, err := tab.AnchorHold(Anchor{Kind: Tree, TrunkMM: v}); return err }},
		{"tug: mass", []float64{-1, 0, nan, 9e5}, func(v float64) error { _, err := tab.Tug(v, geo.Sand, 0, 1); return err }},
		{"tug: driven share", []float64{-0.1, nan, 1.1}, func(v float64) error { _, err := tab.Tug(2000, geo.Sand, 0, v); return err }},
		{"tow: mass", []float64{-1, 0, nan, 9e5}, func(v float64) error { _, err := tab.Tow(TowAsk{MassKg: v, TugKg: 3000}); return err }},
		{"jack: height", []float64{-1, 0, nan, 9}, func(v float64) error { _, err := tab.Jack(JackAsk{MassKg: 2000, HeightM: v}); return err }},
		{"boards: mass", []float64{-1, 0, nan, 9e5}, func(v float64) error { _, err := tab.Boards(Stuck{MassKg: v}, 1, 2000); return err }},
		{"load: height", []float64{-1, nan, 50}, func(v float64) error { _, err := tab.Load(wagon(), Mass{50, 1, v}); return err }},
		{"load: track", []float64{-1, 0, nan, 50}, func(v float64) error { f := wagon(); f.TrackM = v; _, err := tab.Load(f); return err }},
		{"ledge: wheel", []float64{-1, 0, nan, 5}, func(v float64) error { f := wagon(); f.WheelRadiusM = v; _, err := tab.Ledge(f); return err }},
		{"ford: depth", []float64{-1, nan, 50}, func(v float64) error {
			_, err := tab.Ford(FordAsk{LengthM: 4.8, KerbKg: 2300, ClearanceM: 0.23, DepthM: v})
			return err
		}},
		{"ford: velocity", []float64{-1, nan, 50}, func(v float64) error {
			_, err := tab.Ford(FordAsk{LengthM: 4.8, KerbKg: 2300, ClearanceM: 0.23, VelocityMS: v})
			return err
		}},
		{"advise: road pressure", []float64{-1, 0, nan, 5000}, func(v float64) error { _, err := y.Advise(PressureAsk{Size: lt, RoadKPa: v, LoadKg: 600}); return err }},
		{"advise: load", []float64{-1, 0, nan, 9e4}, func(v float64) error { _, err := y.Advise(PressureAsk{Size: lt, RoadKPa: 250, LoadKg: v}); return err }},
		{"refill: flow", []float64{-1, 0, nan, 1e6}, func(v float64) error {
			_, err := y.Refill(Compressor{FreeLMin: v}, 4, 60, 100, 200, 0)
			return err
		}},
		{"refill: volume", []float64{-1, 0, nan, 1e6}, func(v float64) error {
			_, err := y.Refill(Compressor{FreeLMin: 50}, 4, v, 100, 200, 0)
			return err
		}},
		{"refill: height", []float64{-1e4, nan, 3e4}, func(v float64) error {
			_, err := y.Refill(Compressor{FreeLMin: 50}, 4, 60, 100, 200, v)
			return err
		}},
		{"mend: hole", []float64{-1, 0, nan, 1e6}, func(v float64) error { _, err := y.Mend(Wound{Place: "tread", MM: v}); return err }},
		{"spare: diameter", []float64{-1, 0, nan, 9}, func(v float64) error { _, err := tab.SpareRides(wagon(), v, 30, nil); return err }},
	} {
		for _, v := range r.bad {
			err := r.call(v)
			var in *geo.InputError
			if !errors.As(err, &in) || in.Where == "" || in.Reason == "" {
				t.Errorf("%s of %g gives %v, want an input error that names field and reason", r.name, v, err)
			}
		}
	}
	if !math.IsNaN(AtmosphereKPa(nan)) || !math.IsNaN(AtmosphereKPa(20000)) || !math.IsNaN(KineticSpring(nan, 1, 1, 1, 1).PeakKN) || !math.IsNaN(VCI1(-1, 0.15)) {
		t.Error("a formula outside its range gives a number, want NaN")
	}
	if Advantage(10, 0) != 0 || Advantage(math.NaN(), 10) != 0 {
		t.Error("an advantage without a winch is given")
	}
	defer func() {
		if recover() == nil {
			t.Error("a tackle with too few sheaves does not panic")
		}
	}()
	tab.Tackle(10, 3, 1, TackleModel{})
}

func TestTyreTableRefusesFaults(t *testing.T) {
	good, _ := assets.Table("tyres")
	tab := tables(t)
	for _, r := range []struct{ name, old, new, want string }{
		{"unknown key", "[rule]", "[rule]\nmood = { low = 1, central = 1, high = 1, unit = \"1\", from = \"memory\", source = \"x\" }", "rule.mood: is not a key"},
		{"missing ground", "salt       = { low = 124", "solt       = { low = 124", "lt.salt: is missing"},
		{"size", `size = "LT235/85R16"`, `size = "7.50R16"`, "is not a size notation"},
		{"loads fall", "lb = [1700, 1870", "lb = [1900, 1870", "rising loads"},
		{"band", "low = 193, central = 214, high = 234", "low = 293, central = 214, high = 234", "not in rising order"},
		{"syntax", "[law]", "[law", "line"},
	} {
		if !strings.Contains(string(good), r.old) {
			t.Fatalf("%s: the table has no %q to spoil", r.name, r.old)
		}
		_, err := ParseTyres([]byte(strings.Replace(string(good), r.old, r.new, 1)), "tyres.toml", tab)
		var in *geo.InputError
		if !errors.As(err, &in) || !strings.HasPrefix(in.Where, "line ") || !strings.Contains(err.Error(), r.want) {
			t.Errorf("%s: %v, want a line and %q", r.name, err, r.want)
		}
	}
	if kg, ok := tyres(t).IndexKg(121); !ok || kg != 1450 { // EU labels: 121 = 1450 kg
		t.Errorf("load index 121 is %g kg, want 1450", kg)
	}
	if _, ok := tyres(t).IndexKg(106); ok {
		t.Error("load index 106 is not in the table and has a load")
	}
}
