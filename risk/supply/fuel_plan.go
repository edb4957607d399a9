package supply

import "math"

// FuelOnBoard is what can be burned, in litres: the tank without its unusable rest, and the cans.
// usableShare is the user's own figure for the tank; 0 or NaN = the table's, with its band.
func (t *Tables) FuelOnBoard(tankL, usableShare, cansL float64) Band {
	tankL, cansL = math.Max(0, orElse(tankL, 0)), math.Max(0, orElse(cansL, 0))
	if usableShare > 0 {
		return Exactly(tankL*math.Min(1, usableShare) + cansL)
	}
	u := t.FuelTable.Unusable
	return Band{tankL*(1-u.High) + cansL, tankL*(1-u.Central) + cansL, tankL*(1-u.Low) + cansL}
}

// Reserve is a rule for spare fuel.
type Reserve struct {
	Key, Title string
	Default    bool
}

// ReserveRules lists the rules in table order.
func (t *Tables) ReserveRules() []Reserve {
	var out []Reserve
	for _, r := range t.Reserves {
		out = append(out, Reserve{r.Key, r.Title, r.Default})
	}
	return out
}

// FuelInput is what must be reached before fuel can be had again.
type FuelInput struct {
	Use       Band    // litres to the next certain fuel, from FuelModel.Along
	DistanceM float64 // metres of that stretch
	BackL     float64 // litres to drive back from its end to the last fuel; for rules with a return
	Rule      string  // key of a reserve rule; "" or unknown = the default
	DetourM   float64 // metres of detours to allow for, at the mean use of the stretch
	StrandedH Band    // hours of waiting for help during which the engine runs now and then
	IdleH     float64 // hours of running per day of waiting; NaN or 0 = the table's
	NoIdle    bool    // the engine is not run while waiting
}

// FuelNeed is the fuel for a stretch in litres.
type FuelNeed struct {
	Use, Detour, Stranded, Reserve Band
	Total                          Band
	Rule                           string // the rule applied
	Cautions                       []string
}

var fuelCautions = []string{
	"Fuel use on sand, mud and in low range is a wide estimate: compare it with your own log early and turn back while you can.",
	"Carry cans only outside the cabin, secured and vented; follow the law on how much may be carried.",
}

// FuelPlan adds detour, waiting and reserve to the use of a stretch. Every part grows with the use.
func (t *Tables) FuelPlan(m *FuelModel, in FuelInput) FuelNeed {
	n := FuelNeed{Use: in.Use, Cautions: fuelCautions}
	km := math.Max(0, orElse(in.DistanceM, 0)) / 1000
	if km > 0 {
		n.Detour = in.Use.Scale(math.Max(0, orElse(in.DetourM, 0)) / 1000 / km)
	}
	if !in.NoIdle {
		h := Of(t.FuelTable.StrandedIdle)
		if in.IdleH > 0 {
			h = Exactly(in.IdleH)
		}
		n.Stranded = h.Times(in.StrandedH).Scale(m.idleLh / 24)
	}
	var rule reserveRule
	for _, r := range t.Reserves {
		if r.Key == in.Rule || r.Default && rule.Key == "" {
			rule = r
		}
		if r.Key == in.Rule {
			break
		}
	}
	n.Rule = rule.Key
	n.Reserve = in.Use.Scale(rule.Share.Central)
	if km > 0 {
		n.Reserve = n.Reserve.Max(in.Use.Scale(rule.Km.Central / km))
	}
	if rule.Return {
		n.Reserve = n.Reserve.Max(Exactly(math.Max(0, orElse(in.BackL, 0))))
	}
	n.Total = n.Use.Add(n.Detour).Add(n.Stranded).Add(n.Reserve)
	return n
}

// ShortOf is the chance that a need exceeds what is carried, both read as independent normal
// distributions through their 5 and 95 % points. Exact bands give 0 or 1.
func ShortOf(need, have Band) float64 {
	spread := func(b Band) float64 { return (b.High - b.Low) / (2 * Z95) }
	s := math.Hypot(spread(need), spread(have))
	d := need.Central - have.Central
	if !(s > 0) {
		if d > 0 {
			return 1
		}
		return 0
	}
	return 0.5 * math.Erfc(-d/s/math.Sqrt2)
}
