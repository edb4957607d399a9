package catalogue

import (
	"math"

	"lastroad/geo"
)

func (c *Catalogue) readHazards(s source) error {
	var f struct {
		Hazard []struct {
			Key   string `toml:"key"`
			Title string `toml:"title"`
			Per   string `toml:"per"`
			Rate  []struct {
				Ground string         `toml:"ground"`
				Median []float64      `toml:"median"`
				From   geo.Provenance `toml:"from"`
				Source string         `toml:"source"`
			} `toml:"rate"`
			Event []struct {
				Key     string   `toml:"key"`
				Title   string   `toml:"title"`
				Group   string   `toml:"group"`
				Beta    string   `toml:"beta"`
				Factors []string `toml:"factors"`
				Stage   string   `toml:"stage"`
				Help    string   `toml:"help"`
				Share   []struct {
					Grounds []string       `toml:"grounds"`
					Share   []float64      `toml:"share"`
					From    geo.Provenance `toml:"from"`
					Source  string         `toml:"source"`
				} `toml:"share"`
			} `toml:"event"`
		} `toml:"hazard"`
	}
	if err := s.decode(&f); err != nil {
		return err
	}
	rates, events, shares := 0, 0, 0
	for i, h := range f.Hazard {
		at := s.block("[[hazard]]", i)
		out := Hazard{Key: h.Key, Title: h.Title, Per: h.Per}
		switch h.Per {
		case "1000km", "crossing", "person_day", "trip":
		default:
			return s.refuse(s.field(at, "per"), "hazard %s: per %q is not 1000km, crossing, person_day or trip", h.Key, h.Per)
		}
		if h.Key == "" || h.Title == "" || len(h.Event) == 0 {
			return s.refuse(at, "a hazard needs key, title and at least one event")
		}
		for _, r := range h.Rate {
			line := s.block("[[hazard.rate]]", rates)
			rates++
			v, err := s.triple(s.field(line, "median"), "rate of "+h.Key+" on "+r.Ground, r.Median, h.Per, r.From, r.Source, 0, 1000)
			if err != nil {
				return err
			}
			if v.Central > 0 && !(v.Low > 0) {
				return s.refuse(s.field(line, "median"), "rate of %s on %s: the low end of a lognormal must be above 0", h.Key, r.Ground)
			}
			gs, err := grounds(s, line, []string{r.Ground})
			if err != nil {
				return err
			}
			for _, g := range gs {
				out.Rate[g] = v
			}
		}
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			if out.Rate[g].Unit == "" {
				return s.refuse(at, "hazard %s has no rate on %s", h.Key, g.Key())
			}
		}
		var sum [geo.NumGrounds]float64
		for _, e := range h.Event {
			line := s.block("[[hazard.event]]", events)
			events++
			ev := Event{Key: e.Key, Title: e.Title, Group: e.Group, Hazard: len(c.Hazards), Stage: e.Stage, Help: e.Help, Beta: e.Beta}
			if ev.Help == "" {
				ev.Help = "vehicle"
			}
			switch {
			case e.Key == "" || e.Title == "" || e.Group == "" || e.Beta == "":
				return s.refuse(line, "an event needs key, title, group and beta")
			case ev.Help != "vehicle" && ev.Help != "people" && ev.Help != "medical":
				return s.refuse(s.field(line, "help"), "event %s: help %q is not vehicle, people or medical", e.Key, e.Help)
			}
			switch ev.Stage {
			case "", "tread", "hub", "axle", "body", "slope", "rolled":
			default:
				return s.refuse(s.field(line, "stage"), "event %s: stage %q is not known", e.Key, e.Stage)
			}
			for _, k := range e.Factors {
				j, ok := c.factor[k]
				if !ok {
					return s.refuse(s.field(line, "factors"), "event %s names factor %q, which is not in the table", e.Key, k)
				}
				ev.Factors = append(ev.Factors, j)
			}
			for _, sh := range e.Share {
				l := s.block("[[hazard.event.share]]", shares)
				shares++
				v, err := s.triple(s.field(l, "share"), "share of "+e.Key, sh.Share, "1", sh.From, sh.Source, 0, 1)
				if err != nil {
					return err
				}
				gs, err := grounds(s, l, sh.Grounds)
				if err != nil {
					return err
				}
				for _, g := range gs {
					ev.Share[g] = v
				}
			}
			for g := geo.Sealed; g < geo.NumGrounds; g++ {
				sum[g] += ev.Share[g].Central
			}
			if _, twice := c.event[e.Key]; twice {
				return s.refuse(s.field(line, "key"), "event %s is there twice", e.Key)
			}
			c.event[e.Key] = len(c.Events)
			c.Events = append(c.Events, ev)
		}
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			if math.Abs(sum[g]-1) > 1e-9 {
				return s.refuse(at, "hazard %s: the shares of its events on %s add up to %.6g, not 1", h.Key, g.Key(), sum[g])
			}
		}
		c.Hazards = append(c.Hazards, out)
	}
	return nil
}
