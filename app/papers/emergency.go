package papers

import (
	"fmt"
	"sort"

	"github.com/paulmach/orb"

	"lastroad/app/units"
	"lastroad/geo"
	"lastroad/geo/facts"
)

// position writes a place as people on a radio do: degrees and decimal minutes, and the grid square.
func position(p orb.Point) string {
	ns, ew := "N", "E"
	lat, lon := p[1], p[0]
	if lat < 0 {
		ns, lat = "S", -lat
	}
	if lon < 0 {
		ew, lon = "W", -lon
	}
	dm := func(v float64) string {
		m := int(v*60000 + 0.5) // thousandths of a minute
		return fmt.Sprintf("%d°%06.3f'", m/60000, float64(m%60000)/1000)
	}
	t := fmt.Sprintf("%s %s, %s %s", ns, dm(lat), ew, dm(lon))
	if u, ok := geo.ToUTM(p); ok {
		t += ", " + u.MGRS(5)
	}
	return t
}

// emergency is the page to open when something has happened: what to do, whom to call, what to say,
// signals, and where help is.
func (b Book) emergency(s *sheet) {
	d, w := b.Doc, b.Words
	s.newPage()
	s.title(0, w.T("emergency"), 0)
	s.panel([]string{w.T("first_safe"), w.T("first_stay"), w.T("first_alarm"), w.T("first_water"), w.T("first_signal")}, 9, warnBed, warn)
	h := d.Plan.Home
	s.columns(16, []float64{1, 1.25}, func(s *sheet) {
		s.head(w.T("who_to_call"), 40)
		s.table([]tableColumn{{"", 1, false}, {w.T("as_typed"), 2, false}}, [][]cell{
			cells(w.T("call_1"), orBlank(h.CallFirst)), cells(w.T("call_2"), orBlank(h.CallSecond)),
			cells(w.T("contact_home"), orBlank(flat(h.Contact+" "+h.ContactPhone))), cells(w.T("own_devices"), orBlank(h.DeviceIDs)),
		}, 9)
	}, func(s *sheet) {
		s.head(w.T("what_to_say"), 40)
		s.table([]tableColumn{{"", 1, false}, {"", 3, false}}, [][]cell{
			cells(w.T("say_where"), w.T("say_where_text")), cells(w.T("say_what"), w.T("say_what_text")),
			cells(w.T("say_have"), w.T("say_have_text", orBlank(h.VehicleLook))), cells(w.T("say_need"), w.T("say_need_text")), cells(w.T("say_when"), w.T("say_when_text")),
		}, 8.5)
	})
	s.head(w.T("signals", w.least(units.Length, 2.5, 1), w.number(units.Length, 4, 0), w.metres(6, 0)), 90)
	b.signals(s)
	for _, t := range []string{w.T("signal_three", w.metres(25, 0)), w.T("signal_six"), w.T("signal_arms")} {
		s.item("•", t, 8.5, ink)
	}
	var rows [][]cell
	for i, l := range d.Judgement.Legs {
		f := facts.Of(d.Survey, l.Leg)
		if f.WorstRoadIndex < 0 || f.RoadM < 100 {
			continue
		}
		p := d.Survey.Samples[f.WorstRoadIndex]
		rows = append(rows, cells(fmt.Sprint(i+1), w.at(p.DistanceM, 1)+": "+position(orb.Point{p.Lon, p.Lat}), position(p.RoadAt), w.number(units.Distance, p.RoadM, 1)))
	}
	s.head(w.T("furthest"), 60)
	if len(rows) > 0 {
		s.table([]tableColumn{{w.T("leg"), 0.52, true}, {w.T("furthest_place"), 2.9, false}, {w.T("nearest_road"), 2.6, false}, {w.T("km_straight", w.unit(units.Distance)), 0.72, true}}, rows, 7.3)
	} else {
		s.text(w.T("no_road_known"), 9, false, soft, 0)
	}
	rows = nil
	for _, q := range helpPlaces(d.Survey.Help) {
		name := q.Name
		if name == "" {
			name = q.Tag
		}
		rows = append(rows, cells(w.T("help_"+q.Kind.Key()), shorten(flat(name), 60), position(q.At), w.number(units.Distance, q.OffM, 1), w.number(units.Distance, q.RouteM, 1)))
	}
	if len(rows) > 0 {
		draw := func(s *sheet) {
			s.head(w.T("help_places"), 60)
			s.table([]tableColumn{{w.T("kind"), 1.1, false}, {w.T("name"), 1.7, false}, {w.T("where"), 3, false}, {w.T("km_off", w.unit(units.Distance)), 0.85, true}, {w.T("at_km", w.unit(units.Distance)), 0.75, true}}, rows, 7.8)
		}
		if len(rows) <= 12 {
			s.together(draw)
		} else {
			draw(s)
		}
	}
}

// helpPlaces are the places of help to list: of each kind, the most urgent first, those nearest to the route,
// in the order in which they are passed.
func helpPlaces(all []geo.Place) []geo.Place {
	const most = 8 // of a kind
	var out []geo.Place
	for _, k := range []geo.HelpKind{geo.HelpMedical, geo.HelpPolice, geo.HelpPhone, geo.HelpHut, geo.HelpSettlement} {
		var of []geo.Place
		for _, q := range all {
			if q.Kind == k {
				of = append(of, q)
			}
		}
		sort.SliceStable(of, func(i, j int) bool { return of[i].OffM < of[j].OffM })
		of = of[:min(most, len(of))]
		sort.SliceStable(of, func(i, j int) bool { return of[i].RouteM < of[j].RouteM })
		out = append(out, of...)
	}
	return out
}

func orBlank(t string) string {
	if flat(t) == "" {
		return "________________"
	}
	return flat(t)
}

// signals draws the ground-to-air symbols for survivors (ICAO Annex 12, appendix).
func (b Book) signals(s *sheet) {
	const h, cell = 62.0, 38.0
	s.room(h + 12)
	marks := []struct {
		strokes [][4]float64 // in a unit square, y down
		means   string
	}{
		{[][4]float64{{0.15, 0, 0.5, 1}, {0.5, 1, 0.85, 0}}, "sign_v"},
		{[][4]float64{{0.15, 0, 0.85, 1}, {0.85, 0, 0.15, 1}}, "sign_x"},
		{[][4]float64{{0.2, 1, 0.2, 0}, {0.2, 0, 0.8, 1}, {0.8, 1, 0.8, 0}}, "sign_n"},
		{[][4]float64{{0.15, 0, 0.5, 0.5}, {0.85, 0, 0.5, 0.5}, {0.5, 0.5, 0.5, 1}}, "sign_y"},
		{[][4]float64{{0.5, 1, 0.5, 0}, {0.5, 0, 0.25, 0.3}, {0.5, 0, 0.75, 0.3}}, "sign_arrow"},
	}
	wide := (s.right - s.left) / float64(len(marks))
	for i, g := range marks {
		x := s.left + float64(i)*wide
		mid := x + wide/2
		for _, k := range g.strokes {
			s.line(mid-cell/2+k[0]*cell, s.y+8+k[1]*cell, mid-cell/2+k[2]*cell, s.y+8+k[3]*cell, 5, ink)
		}
		t := b.Words.T(g.means)
		s.font(8, true, ink)
		have := s.width(t)
		s.shrink(mid-min(have, wide-6)/2, s.y+h-2, t, 8, wide-6, true, ink)
	}
	s.y += h + 6
}
