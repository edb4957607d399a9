package catalogue

import (
	"fmt"
	"math"

	"lastroad/geo"
	"lastroad/risk/coverage"
)

// LogEntry is what a user met: so many troubles of a hazard on so much of a ground.
type LogEntry struct {
	Hazard string     // "tyre", "mechanical", "bogged", "climb", "impact", "way"; "ford" counts crossings
	Ground geo.Ground // not used for "ford"
	Amount float64    // kilometres, crossings or person-days, by the hazard's exposure
	Events float64    // troubles met, 0 and more
}

// LogChange is a rate before and after the log.
type LogChange struct {
	Key, Title    string
	Before, After geo.Figure // medians with their bands
	MeanBefore    float64
	MeanAfter     float64
}

// Learn returns a copy of c whose rates are updated by the user's own log, and what changed. The prior, a
// lognormal, is read as a gamma of the same mean and variation; n events in an exposure E turn shape a
// and rate b into a+n and b+E (gamma-Poisson). The rates before it stay in Hazard.Prior: the worst case that readiness
// is measured against is not moved by a log. Forgetting the log is using c again. It refuses unknown
// hazards and grounds, negative numbers, and events without exposure.
func (c *Catalogue) Learn(log []LogEntry) (*Catalogue, []LogChange, error) {
	type cell struct {
		hazard int
		ground geo.Ground
	}
	amount, events := map[cell]float64{}, map[cell]float64{}
	var order []cell
	for i, l := range log {
		at := fmt.Sprintf("log line %d", i+1)
		h := -1
		for k := range c.Hazards {
			if c.Hazards[k].Key == l.Hazard && c.Hazards[k].Per != "trip" {
				h = k
			}
		}
		g := l.Ground
		if h >= 0 && c.Hazards[h].Per != "1000km" {
			g = geo.Sealed
		}
		switch {
		case h < 0:
			return nil, nil, &geo.InputError{Where: at, Reason: fmt.Sprintf("hazard %q is not one with a rate", l.Hazard)}
		case g == geo.Unknown || g >= geo.NumGrounds:
			return nil, nil, &geo.InputError{Where: at, Reason: fmt.Sprintf("ground %s has no rate of its own", l.Ground)}
		case !(l.Amount >= 0) || !(l.Events >= 0) || math.IsInf(l.Amount, 0) || math.IsInf(l.Events, 0):
			return nil, nil, &geo.InputError{Where: at, Reason: fmt.Sprintf("%g troubles in %g must not be below 0", l.Events, l.Amount)}
		case l.Events > 0 && l.Amount == 0:
			return nil, nil, &geo.InputError{Where: at, Reason: "troubles without any distance driven"}
		}
		k := cell{h, g}
		if _, ok := amount[k]; !ok {
			order = append(order, k)
		}
		amount[k] += l.Amount
		events[k] += l.Events
	}
	n := c.clone()
	for i := range n.Hazards {
		if h := &n.Hazards[i]; h.Prior == nil && len(order) > 0 {
			prior := h.Rate
			h.Prior = &prior
		}
	}
	var changes []LogChange
	for _, k := range order {
		h := &n.Hazards[k.hazard]
		before := h.Rate[k.ground]
		if before.Central <= 0 || amount[k] == 0 {
			continue
		}
		exposure := amount[k]
		if h.Per == "1000km" {
			exposure /= 1000
		}
		sigma := coverage.SigmaOf(coverage.ErrorFactorOf(before.Low, before.High))
		mean := before.Central * coverage.MeanOverMedian(sigma)
		m2, s2 := coverage.RateLog(mean, sigma, events[k], exposure)
		median := m2 / coverage.MeanOverMedian(s2)
		ef := math.Exp(1.6448536269514722 * s2)
		after := geo.Figure{Low: median / ef, Central: median, High: median * ef, Unit: before.Unit, From: geo.FromUser,
			Source: fmt.Sprintf("the user's log: %g troubles in %g; before: %s", events[k], amount[k], before.Source)}
		grounds := []geo.Ground{k.ground}
		title := h.Title + " on " + k.ground.String()
		if h.Per != "1000km" {
			title = h.Title
			grounds = grounds[:0]
			for g := geo.Sealed; g < geo.NumGrounds; g++ {
				grounds = append(grounds, g)
			}
		}
		for _, g := range grounds {
			h.Rate[g] = after
		}
		changes = append(changes, LogChange{Key: "rate/" + h.Key + "/" + k.ground.Key(), Title: title, Before: before, After: after, MeanBefore: mean, MeanAfter: m2})
	}
	return n, changes, nil
}
