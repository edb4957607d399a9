package risk

import (
	"math"

	"lastroad/risk/catalogue"
	"lastroad/risk/coverage"
	"lastroad/risk/supply"
)

// waiting is how the party stands at a piece if it has to wait for help there.
type waiting struct {
	Notice supply.Notice
	Help   supply.HelpTime
	Tau    supply.Tau
	WaterL float64 // left on entering the piece
	Walk   reach
}

func climate(t *Trip) supply.Climate {
	c := &t.Conditions
	return supply.Climate{MeanC: c.DayMeanC, MaxC: c.DayMaxC, NightMinC: c.NightMinC, Humid: c.Humid}
}

// carried sums the means of calling and the waiting supplies of a party.
func hasItem(cat *catalogue.Catalogue, n []float64, key string) bool {
	i, ok := cat.ItemIndex(key)
	return ok && n[i] > 0
}

func commsOf(cat *catalogue.Catalogue, n []float64) supply.Comms {
	return supply.Comms{Beacon: hasItem(cat, n, "beacon"), Messenger: hasItem(cat, n, "sat_messenger") || hasItem(cat, n, "sat_phone"),
		HF: hasItem(cat, n, "hf_radio")}
}

// waitingAt works out, for every piece, notice, time to help, and how long supplies last.
func waitingAt(x *exposure, along []*Party) []waiting {
	cat, t := x.cat, x.trip
	n := make([]float64, len(cat.Items))
	for _, p := range along {
		for i, q := range counts(cat, p.Load) {
			n[i] += q
		}
	}
	base := commsOf(cat, n)
	phone := hasItem(cat, n, "mobile_phone")
	crew := people(t.Party.People)
	water := counts(cat, t.Party.Load)
	wi, _ := cat.ItemIndex("water")
	stock := x.water(water[wi])
	cl := climate(t)
	bedding := math.NaN()
	if hasItem(cat, water, "sleeping_gear") {
		i, _ := cat.ItemIndex("sleeping_gear")
		if water[i] >= float64(len(t.Party.People)) {
			bedding = 0
		}
	}
	waiters := cat.Supply.Waiters(supply.TauInput{People: crew, Climate: cl, BeddingC: bedding})
	out := make([]waiting, len(x.pieces))
	for i := range x.pieces {
		p := &x.pieces[i]
		w := &out[i]
		w.WaterL = stock.left[p.First]
		w.Walk = walkReach(cat, t, p, w.WaterL)
		c := base
		c.Phone = phone && (t.Policy.PhoneCoverage || p.TrackKm <= 0)
		if phone && w.Walk > 0 {
			c.PhoneAfterH = math.Max(p.WalkMin/60, 0.1)
		}
		c.Contact = t.Policy.ContactAtHome
		c.OverdueH = x.alarmH(i)
		w.Notice = cat.Supply.Notice(c)
		town := p.TownKm
		if town > 0 {
			town *= 1.4
		}
		w.Help = cat.Supply.Help(w.Notice, supply.Site{TrackKm: p.TrackKm, SettlementKm: town})
		w.Tau = waiters.Tau(w.WaterL)
	}
	return out
}

// walkFromY is the age from which somebody can walk out (judgement: younger ones neither keep the pace nor can
// be carried far).
const walkFromY = 10

// walkReach is how far the party could walk out from a piece. It is none in great heat, with young
// children, or without water for the way; else it rises from none at the edge of a day's walk to full at
// a third of it.
func walkReach(cat *catalogue.Catalogue, t *Trip, p *piece, waterL float64) reach {
	if !(p.WalkMin >= 0) || t.Conditions.DayMaxC >= cat.Figure("walk_heat_c").Central {
		return 0
	}
	persons := 0.0
	for _, q := range t.Party.People {
		if q.AgeY > 0 && q.AgeY < walkFromY {
			return 0
		}
		persons++
	}
	hours := cat.Figure("walk_day_h").Central
	if byWater := waterL / (cat.Figure("walk_water_l_h").Central * math.Max(1, persons)); byWater < hours {
		hours = byWater
	}
	if p.WalkMin <= 0 {
		return 16
	}
	ratio := hours * 60 / p.WalkMin
	return reach(16 * math.Min(1, math.Max(0, (ratio-1)/2)))
}

// coverageHelp turns the waiting into what the model asks for: for the vehicle's troubles, and for the
// people's with their medical limit.
func coverageHelp(cat *catalogue.Catalogue, ws []waiting) [][2]coverage.Help {
	out := make([][2]coverage.Help, len(ws))
	medical := cat.Figure("medical_h").Central
	for i := range ws {
		w := &ws[i]
		h := coverage.Help{MedianH: w.Help.MedianH, EF: w.Help.EF, DelayH: w.Notice.Hours.Central, TauH: w.Tau.Hours}
		out[i] = [2]coverage.Help{h, h}
		out[i][1].TauH = math.Min(h.TauH, medical)
	}
	return out
}
