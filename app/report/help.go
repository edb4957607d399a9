package report

import (
	"fmt"
	"math"
	"strings"

	"lastroad/geo"
	"lastroad/geo/facts"
)

// legHelp tells how far the kinds of help that end most troubles are from the leg's worst places: straight, and by
// the quickest drive along the route and the ways that leave it.
func legHelp(f facts.Facts) string {
	var parts []string
	for _, k := range []geo.HelpKind{geo.HelpSettlement, geo.HelpMedical, geo.HelpFuel, geo.HelpWater, geo.HelpWorkshop} {
		if math.IsNaN(f.HelpM[k]) {
			parts = append(parts, k.Key()+" none known")
			continue
		}
		most := ""
		if f.HelpAtMost[k] {
			most = "at most "
		}
		t := fmt.Sprintf("%s %s%s km", k.Key(), most, number(f.HelpM[k]/1000, 1))
		if d := f.HelpDrive[k]; !math.IsNaN(d.Min) {
			t += fmt.Sprintf(" (drive %s km, %s)", number(d.M/1000, 1), Hours(d.Min, false))
		} else {
			t += " (no way known)"
		}
		parts = append(parts, t)
	}
	return strings.Join(parts, "; ")
}

// legCrossings tells of the water that the leg crosses without a tag that says how; "" without any.
func legCrossings(f facts.Facts) string {
	if len(f.Crossings) == 0 {
		return ""
	}
	km := make([]string, len(f.Crossings))
	for i, m := range f.Crossings {
		km[i] = number(m/1000, 1)
	}
	what := "places that may be fords"
	if len(km) == 1 {
		what = "place that may be a ford"
	}
	return fmt.Sprintf(", %d %s (km %s; depth unknown)", len(km), what, strings.Join(km, ", "))
}
