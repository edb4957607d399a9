package supply

import (
	"fmt"
	"sort"

	"lastroad/geo"
	"lastroad/geo/table"
)

// check refuses tables whose numbers contradict each other or would let a need fall when it must not.
func (t *Tables) check(doc *table.Document) error {
	rising := func(path string, v []float64) error {
		if len(v) < 2 {
			return doc.Fault(path, "needs at least two values")
		}
		if !sort.SliceIsSorted(v, func(i, j int) bool { return v[i] < v[j] }) {
			return doc.Fault(path, "values must rise")
		}
		for i := 1; i < len(v); i++ {
			if v[i] == v[i-1] {
				return doc.Fault(path, "values must rise")
			}
		}
		return nil
	}
	column := func(path string, v []float64, n int) error {
		if len(v) != n {
			return doc.Fault(path, fmt.Sprintf("has %d values, want %d", len(v), n))
		}
		for i, x := range v {
			if x < 0 {
				return doc.Fault(path, fmt.Sprintf("value %g is negative", x))
			}
			if i > 0 && x < v[i-1] {
				return doc.Fault(path, "values must not fall: hotter or older never needs less")
			}
		}
		return nil
	}
	h, d, p, s := &t.HourlyTable, &t.DailyTable, &t.People, &t.Survival
	n := len(h.LowerDegF)
	steps := []func() error{
		func() error { return rising("hourly.lower_degf", h.LowerDegF) },
		func() error { return column("hourly.easy", h.Easy, n) },
		func() error { return column("hourly.moderate", h.Moderate, n) },
		func() error { return column("hourly.hard", h.Hard, n) },
		func() error { return workMinutes(doc, "hourly.easy_work_min", h.EasyWorkMin, n) },
		func() error { return workMinutes(doc, "hourly.moderate_work_min", h.ModerateWorkMin, n) },
		func() error { return workMinutes(doc, "hourly.hard_work_min", h.HardWorkMin, n) },
		func() error { return rising("hourly_canadian.lower_degc", t.Canadian.LowerDegC) },
		func() error { return column("hourly_canadian.light", t.Canadian.Light, len(t.Canadian.LowerDegC)) },
		func() error {
			return column("hourly_canadian.moderate", t.Canadian.Moderate, len(t.Canadian.LowerDegC))
		},
		func() error { return column("hourly_canadian.heavy", t.Canadian.Heavy, len(t.Canadian.LowerDegC)) },
		func() error {
			return column("hourly_canadian.very_heavy", t.Canadian.VeryHeavy, len(t.Canadian.LowerDegC))
		},
		func() error { return rising("daily.mean_degc", d.MeanDegC) },
		func() error { return column("daily.hard_sun", d.HardSun, len(d.MeanDegC)) },
		func() error { return column("daily.moderate_sun", d.ModerateSun, len(d.MeanDegC)) },
		func() error { return column("daily.rest_shade", d.RestShade, len(d.MeanDegC)) },
		func() error { return rising("people.age_to_y", p.AgeToY) },
		func() error { return column("people.intake_l", p.IntakeL, len(p.AgeToY)) },
		func() error { return rising("people.mass.age_y", p.Mass.AgeY) },
		func() error { return column("people.mass.kg", p.Mass.Kg, len(p.Mass.AgeY)) },
		func() error { return rising("survival.max_degc", s.MaxDegC) },
		func() error { return rising("survival.litres", s.Litres) },
	}
	for _, f := range steps {
		if err := f(); err != nil {
			return err
		}
	}
	for i := range d.MeanDegC {
		if !(d.RestShade[i] <= d.ModerateSun[i] && d.ModerateSun[i] <= d.HardSun[i]) {
			return doc.Fault("daily.hard_sun", "harder work needs less than lighter work in one column")
		}
	}
	if !(p.AdultL > 0 && p.IntakeL[len(p.IntakeL)-1] <= p.AdultL) {
		return doc.Fault("people.adult_l", "must not be below a child's intake")
	}
	if len(s.Days) != len(s.MaxDegC) {
		return doc.Fault("survival.days", fmt.Sprintf("has %d rows, want %d", len(s.Days), len(s.MaxDegC)))
	}
	for i, row := range s.Days {
		if err := column("survival.days", row, len(s.Litres)); err != nil {
			return err
		}
		for j := range row {
			if i > 0 && row[j] > s.Days[i-1][j] {
				return doc.Fault("survival.days", "hotter must not let people live longer")
			}
		}
	}
	tr := &t.TranterTable
	if err := rising("tranter.naismith_h", tr.NaismithH); err != nil {
		return err
	}
	if err := rising("tranter.fitness_min", tr.FitnessMin); err != nil {
		return err
	}
	if len(tr.Hours) != len(tr.FitnessMin) {
		return doc.Fault("tranter.hours", fmt.Sprintf("has %d rows, want %d", len(tr.Hours), len(tr.FitnessMin)))
	}
	for i, row := range tr.Hours {
		if len(row) < 2 || len(row) > len(tr.NaismithH) || i > 0 && len(row) > len(tr.Hours[i-1]) {
			return doc.Fault("tranter.hours", "rows must not grow longer as fitness falls")
		}
		for j := range row {
			if j > 0 && row[j] < row[j-1] || i > 0 && row[j] < tr.Hours[i-1][j] {
				return doc.Fault("tranter.hours", "hours must not fall with distance or with lower fitness")
			}
		}
	}
	seen := map[string]int{}
	for i, r := range t.Rolling {
		at := fmt.Sprintf("rolling.%d", i+1)
		g, ok := geo.ParseGround(r.Ground)
		if !ok || g == geo.Unknown {
			return doc.Fault(at+".ground", fmt.Sprintf("%q is not a ground class", r.Ground))
		}
		if seen[r.Ground]++; seen[r.Ground] > 1 {
			return doc.Fault(at+".ground", fmt.Sprintf("%q is there twice", r.Ground))
		}
		if r.Crr.Low <= 0 || r.LowRange.Low < 0 || r.LowRange.High > 1 {
			return doc.Fault(at, "resistance must be above 0 and the share of low range inside 0..1")
		}
	}
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		if seen[g.Key()] == 0 {
			return doc.Fault("rolling", fmt.Sprintf("ground %q is missing", g.Key()))
		}
	}
	defaults := 0
	for _, r := range t.Reserves {
		if r.Default {
			defaults++
		}
	}
	if defaults != 1 {
		return doc.Fault("reserve_rules", fmt.Sprintf("%d rules are marked default, want one", defaults))
	}
	for _, k := range placeKeys {
		if t.placeOf(k) == nil {
			return doc.Fault("places", fmt.Sprintf("place %q is missing", k))
		}
	}
	for i, s := range t.Shelters {
		if s.When != "hot" && s.When != "cold" {
			return doc.Fault(fmt.Sprintf("shelter.%d.when", i+1), "must be hot or cold")
		}
	}
	return nil
}

func workMinutes(doc *table.Document, path string, v []float64, n int) error {
	if len(v) != n {
		return doc.Fault(path, fmt.Sprintf("has %d values, want %d", len(v), n))
	}
	for i, x := range v {
		if !(x > 0 && x <= 60) || i > 0 && x > v[i-1] {
			return doc.Fault(path, "minutes of work must lie in 0..60 and must not rise with heat")
		}
	}
	return nil
}

func (t *Tables) index() {
	for _, r := range t.Rolling {
		g, _ := geo.ParseGround(r.Ground)
		t.ground[g] = groundRoll{Of(r.Crr), Of(r.LowRange)}
	}
}
