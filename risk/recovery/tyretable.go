package recovery

import (
	"fmt"
	"slices"

	"lastroad/geo"
	"lastroad/geo/table"
)

// Tyres are the numbers of tyres and air with their sources.
type Tyres struct {
	Load  []LoadRow             `toml:"load"`
	Index IndexTable            `toml:"index"`
	Law   map[string]geo.Figure `toml:"law"`
	LT    map[string]geo.Figure `toml:"lt"` // by ground; sealed and snow keep road pressure
	Speed map[string]geo.Figure `toml:"speed"`
	Rule  map[string]geo.Figure `toml:"rule"`

	cautions func(on ...string) []Caution
}

// LoadRow is a maker's load table of one size.
type LoadRow struct {
	Size   string         `toml:"size"`
	From   geo.Provenance `toml:"from"`
	Source string         `toml:"source"`
	Psi    []float64      `toml:"psi"`
	Lb     []float64      `toml:"lb"`
}

// IndexTable gives load indices in kg.
type IndexTable struct {
	From   geo.Provenance `toml:"from"`
	Source string         `toml:"source"`
	Index  []int          `toml:"index"`
	Kg     []float64      `toml:"kg"`
}

// ParseTyres reads the numbers of tyres from TOML, as strictly as [ParseTables]. The cautions that go
// with tyre pressures stand in t.
func ParseTyres(data []byte, file string, t *Tables) (*Tyres, error) {
	y := &Tyres{}
	doc, err := table.Decode(data, file, y)
	if err != nil {
		return nil, err
	}
	var soft []string
	for g := geo.Unknown; g < geo.NumGrounds; g++ {
		if g != geo.Sealed && g != geo.Snow {
			soft = append(soft, g.Key())
		}
	}
	want := []struct {
		name string
		have map[string]geo.Figure
		keys []string
	}{
		{"law", y.Law, []string{"passenger", "lt", "metric", "linear", "light_truck_service"}},
		{"lt", y.LT, soft}, {"speed", y.Speed, soft},
		{"rule", y.Rule, []string{"dirt_share", "metric_floor", "metric_speed", "low_speed_kpa", "low_speed_kmh", "floor", "stuck_floor", "stuck_kmh",
			"volume_share", "delivery_share", "contact_share", "repair_mm", "tread_mm", "hot_rise", "plug_kmh", "spare_stony_km"}},
	}
	for _, w := range want {
		if err := exactly(doc, w.name, w.have, w.keys); err != nil {
			return nil, err
		}
	}
	for i, r := range y.Load {
		at := fmt.Sprintf("load.%d", i+1)
		if _, err := ParseSize(r.Size); err != nil {
			return nil, doc.Fault(at+".size", err.Error())
		}
		if len(r.Psi) != len(r.Lb) || len(r.Psi) == 0 || !slices.IsSorted(r.Psi) || !slices.IsSorted(r.Lb) {
			return nil, doc.Fault(at, "needs as many rising loads as rising pressures")
		}
	}
	if len(y.Index.Index) != len(y.Index.Kg) || !slices.IsSorted(y.Index.Index) || !slices.IsSorted(y.Index.Kg) {
		return nil, doc.Fault("index", "needs as many rising loads as rising indices")
	}
	y.cautions = t.Cautions
	return y, nil
}

// IndexKg is the load of a load index; ok is false for one the table does not hold.
func (y *Tyres) IndexKg(index int) (kg float64, ok bool) {
	i, found := slices.BinarySearch(y.Index.Index, index)
	if !found {
		return 0, false
	}
	return y.Index.Kg[i], true
}
