package ground

import (
	"fmt"
	"slices"
	"strings"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// Classify tells what the ground of a way is by its tags and the areas under it, the smallest area
// first (as [osm.AreaIndex] gives them).
//
// A tag that settles all (a ford, an ice road) comes first; then the surface, each of several values
// ("gravel;sand") with an equal share; without one the highway type. That mixture is multiplied by the
// likelihoods of tracktype, smoothness and the other leaning tags, and, where no surface or only a vague
// one is tagged, of the area under the way (bridges and tunnels have no area under them). It is known
// where a surface, a tag marked as known or a clear area says so. The reason names what was used.
func (r *Rules) Classify(t osm.Tags, under ...osm.AreaKind) geo.GroundMix {
	for i := range r.file.Special {
		row := &r.file.Special[i]
		if v := t.Get(row.Key); v != "" && slices.Contains(row.Values, v) {
			return geo.GroundMix{P: row.Mix.shares(), Known: true, Reason: row.Key + "=" + v}
		}
	}
	var because []string
	mix, known, vague := shares{}, false, true
	if v := t.Get("surface"); v != "" {
		if s, isVague, ok := r.surfaceMix(v); ok {
			mix, known, vague = s, true, isVague
			because = append(because, "surface="+v)
		}
	}
	highway := t.Get("highway")
	if !known {
		mix, known = r.untagged(highway)
	}
	for _, key := range r.leanKey {
		v := t.Get(key)
		if v == "" {
			continue
		}
		row := r.lean[key][v]
		if row == nil {
			continue
		}
		if s, ok := mix.times(row.Lean.shares()); ok {
			mix = s
			known = known || row.Known
			because = append(because, key+"="+v)
		}
	}
	kindOf := highway
	if kindOf == "" {
		kindOf = "way"
	}
	if len(because) == 0 {
		because = append(because, kindOf+" without ground tags")
		if s, ok := r.region[highway]; ok {
			because[0] += s.words
		}
	}
	if vague && !t.Yes("bridge") && !t.Yes("tunnel") {
		if row, kind := r.firstArea(under); row != nil {
			if s, ok := mix.times(row.Lean.shares()); ok && s != mix {
				mix = s
				known = known || row.LeanKnown
				because = append(because, "in "+words(kind))
			}
		}
	}
	return geo.GroundMix{P: mix, Known: known, Reason: strings.Join(because, ", ")}
}

// surfaceMix is the mixture for a value of the surface key, which may hold several by semicolon;
// values that are not in the table are passed over. It is vague when all its values are.
func (r *Rules) surfaceMix(value string) (mix shares, vague, ok bool) {
	n := 0.0
	vague = true
	for v := range strings.SplitSeq(value, ";") {
		row := r.surface[strings.Trim(v, " _")]
		if row == nil {
			continue
		}
		n++
		vague = vague && row.Vague
		for g, p := range row.Mix.shares() {
			mix[g] += p
		}
	}
	if n == 0 {
		return mix, false, false
	}
	mix, _ = mix.normal()
	return mix, vague, true
}

// untagged is the mixture for a highway type.
func (r *Rules) untagged(highway string) (mix shares, known bool) {
	row := r.highway[highway]
	if row == nil {
		row = &r.file.Other
	}
	if s, ok := r.region[highway]; ok {
		return s.mix, row.Known || s.known
	}
	return row.Mix.shares(), row.Known
}

func (r *Rules) firstArea(under []osm.AreaKind) (*AreaRow, osm.AreaKind) {
	for _, k := range under {
		if k < osm.NumAreaKinds && r.area[k] != nil {
			return r.area[k], k
		}
	}
	return nil, osm.AreaNone
}

// OffWay tells what the ground is off any way by the areas there, the smallest first.
func (r *Rules) OffWay(under ...osm.AreaKind) geo.GroundMix {
	if row, kind := r.firstArea(under); row != nil {
		return geo.GroundMix{P: row.Off.shares(), Known: row.OffKnown, Reason: "off any way, in " + words(kind)}
	}
	return geo.GroundMix{P: r.file.OffWay.Mix.shares(), Reason: "off any way, no mapped area"}
}

// words is an area kind as one says it.
func words(k osm.AreaKind) string { return strings.ReplaceAll(k.Key(), "_", " ") }

// Crossing is the chance that one drives through the bed where a watercourse of a kind is crossed and no tag
// says how: on a way, on one that is kept, or off any. ok is false for a line that is no watercourse.
func (r *Rules) Crossing(k osm.LineKind, onWay, kept bool) (p geo.Premise, ok bool) {
	c := &r.file.Crossing
	switch k {
	case osm.River:
		p = premise("crossing.river", c.River)
	case osm.Stream:
		p = premise("crossing.stream", c.Stream)
	case osm.Canal:
		p = premise("crossing.canal", c.Canal)
	case osm.Ditch:
		p = premise("crossing.ditch", c.Ditch)
	case osm.Wadi:
		p = premise("crossing.wadi", c.Wadi)
	default:
		return p, false
	}
	switch {
	case !onWay:
		p = premise("crossing.off_way", c.OffWay)
	case kept && c.Kept.Central < p.Central:
		p = premise("crossing.kept", c.Kept)
	}
	return p, true
}

// Wet is the share of the time that the bed of a watercourse holds water; ok is false where nothing says that it dries
// up: judgement, it then holds water all the time.
func (r *Rules) Wet(k osm.LineKind, intermittent bool) (p geo.Premise, ok bool) {
	switch {
	case k == osm.Wadi:
		return premise("crossing.wadi_wet", r.file.Crossing.WadiWet), true
	case intermittent:
		return premise("crossing.intermittent_wet", r.file.Crossing.IntermittentWet), true
	}
	return p, false
}

// regionShare is the mixture for untagged ways of one highway type in a region.
type regionShare struct {
	mix   shares
	known bool
	words string
}

// WithRegion gives rules whose mixtures for untagged ways are moved towards those of the tagged ways
// of the same highway type in a region, by length: the table's mixture counts like prior_km of tagged
// ways. Where the table allows it and the tagged ways agree, the untagged ones count as known. lengthM
// gives the length of a way in metres.
func (r *Rules) WithRegion(ways []osm.Way, lengthM func(w *osm.Way) float64) *Rules {
	type sum struct {
		km  float64
		mix shares
	}
	sums := map[string]*sum{}
	var order []string
	for i := range ways {
		w := &ways[i]
		v, h := w.Tags.Get("surface"), w.Tags.Get("highway")
		if v == "" || h == "" {
			continue
		}
		mix, _, ok := r.surfaceMix(v)
		if !ok {
			continue
		}
		s := sums[h]
		if s == nil {
			s = &sum{}
			sums[h] = s
			order = append(order, h)
		}
		km := lengthM(w) / 1000
		s.km += km
		for g, p := range mix {
			s.mix[g] += p * km
		}
	}
	out := *r
	out.region = map[string]regionShare{}
	rule := &r.file.Region
	for _, h := range order {
		s := sums[h]
		row := r.highway[h]
		if row == nil {
			row = &r.file.Other
		}
		prior := row.Mix.shares()
		best := geo.Sealed
		var m shares
		for g := range m {
			m[g] = (prior[g]*rule.PriorKm.Central + s.mix[g]) / (rule.PriorKm.Central + s.km)
			if s.mix[g] > s.mix[best] {
				best = geo.Ground(g)
			}
		}
		share := regionShare{mix: m}
		if s.km > 0 {
			part := s.mix[best] / s.km
			share.known = row.ByRegion && part >= rule.KnownShare.Central && s.km >= rule.KnownKm.Central
			share.words = fmt.Sprintf(" (of %.0f km tagged here %.0f %% are %s)", s.km, 100*part, best)
		}
		out.region[h] = share
	}
	return &out
}
