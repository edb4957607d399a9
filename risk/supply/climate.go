package supply

import (
	"fmt"
	"math"
	"strings"
	"time"

	"lastroad/geo"
	"lastroad/geo/table"
)

// Climates are coarse climates by month, for a first result before anybody knows the forecast.
type Climates struct {
	Lapse struct {
		PerKm     geo.Figure `toml:"per_km"`
		HotDay    geo.Figure `toml:"hot_day"`
		ColdNight geo.Figure `toml:"cold_night"`
		Spread    geo.Figure `toml:"spread"`
	} `toml:"lapse"`
	List []ClimateClass `toml:"climates"`
}

// ClimateClass is one climate: degC near sea level for the northern half of the earth, January first.
type ClimateClass struct {
	Key      string         `toml:"key"`
	Title    string         `toml:"title"`
	Humid    bool           `toml:"humid"`
	LatFrom  float64        `toml:"latitude_from"` // degrees of |latitude| for which it is the default
	LatTo    float64        `toml:"latitude_to"`
	Unit     string         `toml:"unit"`
	From     geo.Provenance `toml:"from"`
	Source   string         `toml:"source"`
	Mean     []float64      `toml:"mean"`
	Max      []float64      `toml:"max"`
	NightMin []float64      `toml:"night_min"`
}

// Class finds a climate by its key.
func (c *Climates) Class(key string) (*ClimateClass, bool) {
	for i := range c.List {
		if c.List[i].Key == key {
			return &c.List[i], true
		}
	}
	return nil, false
}

// Keys lists the keys of the climates, for messages.
func (c *Climates) Keys() string {
	var keys []string
	for i := range c.List {
		keys = append(keys, c.List[i].Key)
	}
	return strings.Join(keys, ", ")
}

// Weather is a climate of one month at one place.
type Weather struct {
	Climate          // usual day
	HottestC float64 // shade maximum of the hottest days of the month
	ColdestC float64 // minimum of the coldest nights
	Class    string  // key
	Assumed  bool    // the class was taken from the latitude
	SpreadC  float64 // half-width of what places and years of the class differ by
}

// At gives the weather of a month (1 to 12) at a latitude in degrees (south negative) and height in
// metres. An empty or unknown key takes the class of the latitude; NaN latitude reads as 45 north, NaN
// height as sea level, a month outside 1 to 12 the month with the hottest days there.
func (c *Climates) At(key string, month time.Month, lat, heightM float64) Weather {
	lat = within(orElse(lat, 45), -90, 90)
	class, assumed := -1, false
	for i := range c.List {
		if c.List[i].Key == key {
			class = i
		}
	}
	if class < 0 {
		assumed, class = true, 0
		for i, k := range c.List {
			if math.Abs(lat) >= k.LatFrom && math.Abs(lat) < k.LatTo || k.LatTo >= 90 && math.Abs(lat) == 90 {
				class = i
			}
		}
	}
	k := &c.List[class]
	m := int(month) - 1
	if m < 0 || m > 11 {
		m = 0
		for i := range k.Max {
			if k.Max[i] > k.Max[m] {
				m = i
			}
		}
	} else if lat < 0 {
		m = (m + 6) % 12
	}
	cooler := c.Lapse.PerKm.Central * within(orElse(heightM, 0), -500, 9000) / 1000
	w := Weather{Climate: Climate{k.Mean[m] - cooler, k.Max[m] - cooler, k.NightMin[m] - cooler, k.Humid},
		Class: k.Key, Assumed: assumed, SpreadC: c.Lapse.Spread.Central}
	w.HottestC = w.MaxC + c.Lapse.HotDay.Central
	w.ColdestC = w.NightMinC - c.Lapse.ColdNight.Central
	return w
}

// Figures calls yield with every figure of the climates and its path ("lapse.per_km", and for the months
// "climates.hot_desert.mean.1" with its spread as the band).
func (c *Climates) Figures(yield func(path string, f geo.Figure)) {
	table.Figures(c, func(path string, f *geo.Figure) { yield(path, *f) })
	half := c.Lapse.Spread.Central
	for i := range c.List {
		k := &c.List[i]
		for _, col := range []struct {
			name string
			v    []float64
		}{{"mean", k.Mean}, {"max", k.Max}, {"night_min", k.NightMin}} {
			for m, v := range col.v {
				yield(fmt.Sprintf("climates.%s.%s.%d", k.Key, col.name, m+1), geo.Figure{Low: v - half, Central: v, High: v + half, Unit: k.Unit, From: k.From, Source: k.Source})
			}
		}
	}
}

// ParseClimate reads climate.toml strictly; errors are [geo.InputError] with file and line. Each class
// has twelve months with night minimum <= mean <= maximum, and every latitude has one default class.
func ParseClimate(data []byte, file string) (*Climates, error) {
	c := new(Climates)
	doc, err := table.Decode(data, file, c)
	if err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	for i := range c.List {
		k := &c.List[i]
		at := fmt.Sprintf("climates.%d", i+1)
		if k.Key == "" || k.Title == "" || seen[k.Key] {
			return nil, doc.Fault(at+".key", "key and title must be given, and each key once")
		}
		seen[k.Key] = true
		if len(k.Mean) != 12 || len(k.Max) != 12 || len(k.NightMin) != 12 {
			return nil, doc.Fault(at+".mean", "mean, max and night_min must have twelve months")
		}
		for m := range 12 {
			if !(k.NightMin[m] <= k.Mean[m] && k.Mean[m] <= k.Max[m] && k.Max[m] <= 60 && k.NightMin[m] >= -70) {
				return nil, doc.Fault(at+".mean", fmt.Sprintf("month %d: night minimum, mean and maximum are not in rising order or not on earth", m+1))
			}
		}
	}
	for lat := 0.0; lat < 90; lat++ {
		n := 0
		for _, k := range c.List {
			if lat >= k.LatFrom && lat < k.LatTo {
				n++
			}
		}
		if n != 1 {
			return nil, doc.Fault("climates", fmt.Sprintf("latitude %g has %d default classes, want 1", lat, n))
		}
	}
	return c, nil
}
