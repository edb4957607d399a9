package catalogue

import (
	"fmt"
	"math"

	"lastroad/geo"
)

// Factor multiplies rates. It is monotone in one variable and bounded on its domain.
type Factor struct {
	Key, Title, Variable, Form string
	At, To                     float64 // where it begins to change and where it has reached Most
	Zero                       float64 // "power" only: where the factor is 1, when that is not At
	Below                      float64 // "power" only: the factor at the low end of the domain when that lies below At
	HasBelow                   bool
	Domain                     [2]float64
	// Worst says that the adverse case takes the worst end of the domain; else the actual value.
	Worst bool
	Most  [geo.NumGrounds]geo.Figure
}

// Value is the factor for x on ground g with its central figure; x is clamped to the domain, and NaN
// gives the worst value, since not knowing must not look like good conditions.
func (f *Factor) Value(x float64, g geo.Ground) float64 { return f.value(x, f.Most[g].Central) }

// WorstValue is the largest value on the domain.
func (f *Factor) WorstValue(g geo.Ground) float64 {
	m := f.Most[g].Central
	return math.Max(f.value(f.Domain[0], m), f.value(f.Domain[1], m))
}

// Adverse is the value of the adverse case when the actual variable is x.
func (f *Factor) Adverse(x float64, g geo.Ground) float64 {
	if f.Worst {
		return f.WorstValue(g)
	}
	return f.Value(x, g)
}

func (f *Factor) value(x, most float64) float64 {
	if math.IsNaN(x) {
		return math.Max(f.value(f.Domain[0], most), f.value(f.Domain[1], most))
	}
	x = math.Min(f.Domain[1], math.Max(f.Domain[0], x))
	switch f.Form {
	case "switch":
		if x > f.At {
			return most
		}
		return 1
	case "cube":
		t := math.Min(1, math.Max(0, (x-f.At)/(f.To-f.At)))
		return most * t * t * t
	case "ramp":
		t := math.Min(1, math.Max(0, (x-f.At)/(f.To-f.At)))
		return 1 + t*(most-1)
	}
	if f.HasBelow && x < f.At {
		t := (x - f.Domain[0]) / (f.At - f.Domain[0])
		return f.Below + t*(1-f.Below)
	}
	t := math.Min(1, math.Max(0, (x-f.At)/(f.To-f.At)))
	v := math.Pow(most, t)
	if f.Zero != 0 {
		v /= math.Pow(most, (f.Zero-f.At)/(f.To-f.At))
	}
	return v
}

// Variables are the quantities a factor may depend on; package risk fills them.
var Variables = []string{"day_max_c", "wetness", "water_level", "depth_ratio", "road_pressure", "two_wheel_drive", "lockers", "grade",
	"side", "clearance_short_m", "age_y", "service_overdue", "pace", "laden_share_left"}

func (c *Catalogue) readFactors(s source) error {
	var f struct {
		Factor []struct {
			Key      string    `toml:"key"`
			Title    string    `toml:"title"`
			Variable string    `toml:"variable"`
			Form     string    `toml:"form"`
			At       float64   `toml:"at"`
			To       float64   `toml:"to"`
			Zero     float64   `toml:"zero"`
			Below    *float64  `toml:"below"`
			Domain   []float64 `toml:"domain"`
			Adverse  string    `toml:"adverse"`
			Most     []struct {
				Grounds []string       `toml:"grounds"`
				Most    []float64      `toml:"most"`
				From    geo.Provenance `toml:"from"`
				Source  string         `toml:"source"`
			} `toml:"most"`
		} `toml:"factor"`
	}
	if err := s.decode(&f); err != nil {
		return err
	}
	cell := 0
	for i, t := range f.Factor {
		at := s.block("[[factor]]", i)
		out := Factor{Key: t.Key, Title: t.Title, Variable: t.Variable, Form: t.Form, At: t.At, To: t.To, Zero: t.Zero, Worst: t.Adverse == "worst"}
		if t.Below != nil {
			out.Below, out.HasBelow = *t.Below, true
		}
		known := false
		for _, v := range Variables {
			known = known || v == t.Variable
		}
		switch {
		case t.Key == "" || t.Title == "":
			return s.refuse(at, "a factor needs key and title")
		case !known:
			return s.refuse(s.field(at, "variable"), "factor %s: variable %q is not known", t.Key, t.Variable)
		case t.Form != "ramp" && t.Form != "power" && t.Form != "switch" && t.Form != "cube":
			return s.refuse(s.field(at, "form"), "factor %s: form %q is not ramp, power, cube or switch", t.Key, t.Form)
		case t.Adverse != "worst" && t.Adverse != "actual":
			return s.refuse(s.field(at, "adverse"), "factor %s: adverse %q is neither worst nor actual", t.Key, t.Adverse)
		case len(t.Domain) != 2 || !(t.Domain[0] < t.Domain[1]):
			return s.refuse(s.field(at, "domain"), "factor %s: the domain must be two rising numbers, or the adverse case does not exist", t.Key)
		case !(t.At < t.To):
			return s.refuse(s.field(at, "to"), "factor %s: to %g is not above at %g", t.Key, t.To, t.At)
		case out.HasBelow && !(out.Below >= 0 && out.Below <= 1):
			return s.refuse(s.field(at, "below"), "factor %s: below %g is outside 0..1", t.Key, out.Below)
		}
		out.Domain = [2]float64{t.Domain[0], t.Domain[1]}
		for _, m := range t.Most {
			line := s.block("[[factor.most]]", cell)
			cell++
			v, err := s.triple(s.field(line, "most"), "factor "+t.Key, m.Most, "1", m.From, m.Source, 0, 1000)
			if err != nil {
				return err
			}
			if (v.Low < 1) != (v.High < 1) && v.High > 1 && v.Low < 1 {
				return s.refuse(s.field(line, "most"), "factor %s is not monotone: its band reaches from %g below 1 to %g above", t.Key, v.Low, v.High)
			}
			gs, err := grounds(s, line, m.Grounds)
			if err != nil {
				return err
			}
			for _, g := range gs {
				out.Most[g] = v
			}
		}
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			if out.Most[g].Unit == "" {
				return s.refuse(at, "factor %s says nothing about %s", t.Key, g.Key())
			}
		}
		if _, twice := c.factor[t.Key]; twice {
			return s.refuse(s.field(at, "key"), "factor %s is there twice", t.Key)
		}
		c.factor[t.Key] = len(c.Factors)
		c.Factors = append(c.Factors, out)
	}
	return nil
}

// grounds turns keys, or "all", into classes.
func grounds(s source, line int, keys []string) ([]geo.Ground, error) {
	var out []geo.Ground
	for _, k := range keys {
		if k == "all" {
			for g := geo.Sealed; g < geo.NumGrounds; g++ {
				out = append(out, g)
			}
			continue
		}
		g, ok := geo.ParseGround(k)
		if !ok || g == geo.Unknown {
			return nil, s.refuse(s.field(line, "grounds"), "%q is not a ground class", k)
		}
		out = append(out, g)
	}
	if len(out) == 0 {
		return nil, s.refuse(line, "no ground class is named")
	}
	return out, nil
}

// String names the factor for messages.
func (f *Factor) String() string { return fmt.Sprintf("%s (%s)", f.Title, f.Key) }
