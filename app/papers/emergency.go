package papers

import (
	"fmt"

	"github.com/paulmach/orb"

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
		return fmt.Sprintf("%d° %06.3f'", m/60000, float64(m%60000)/1000)
	}
	t := fmt.Sprintf("%s %s, %s %s", ns, dm(lat), ew, dm(lon))
	if u, ok := geo.ToUTM(p); ok {
		t += ", " + u.MGRS(5)
	}
	return t
}

func (b Book) emergency(s *sheet) {
	d := b.Doc
	s.newPage()
	s.title(0, "Emergency page", 0)
	s.panel([]string{
		"1. Make everybody safe, then give first aid. 2. Stay with the vehicle: it is shade, shelter, and far easier to see from the air than a person. 3. Raise the alarm with what you carry, in this order: beacon if life is in danger, messenger or phone, radio. 4. Water is for drinking: do not ration it, save sweat instead: shade, clothes on, no work in the heat. 5. Lay out signals, keep a fire ready.",
	}, 9, warnBed, warn)
	s.head("Who to call", 40)
	h := d.Plan.Home
	s.table([]tableColumn{{"", 1, false}, {"as typed by you", 4, false}}, [][]cell{
		words("First", orBlank(h.CallFirst)),
		words("Then", orBlank(h.CallSecond)),
		words("Contact at home", orBlank(h.Contact)+"  "+h.ContactPhone),
		words("Own devices", orBlank(h.DeviceIDs)),
	}, 9)
	s.head("What to say", 40)
	s.table([]tableColumn{{"", 1, false}, {"", 4, false}}, [][]cell{
		words("Where", "degrees and decimal minutes, as below: latitude first, north or south, then longitude, east or west; and the leg of this book"),
		words("What happened", "injured or stranded, how many people, ages, what is wrong"),
		words("What you have", "water in litres, food, shelter, signals, vehicle and colour: "+orBlank(h.VehicleLook)),
		words("What you need", "doctor, water, a tow, a part"),
		words("When again", "agree on the next time to talk, and save the battery until then"),
	}, 8.5)

	s.head("Signals to aircraft, laid out at least 2.5 m high, better 4 by 6 m (ICAO Annex 12, appendix)", 90)
	b.signals(s)
	s.head("Light, whistle, voice", 40)
	s.item("•", "Three of anything, again and again: three fires in a triangle about 25 m apart, three whistles, three flashes. The answer is three as well. (US Army FM 3-05.70, chapter 19)", 8.5, ink)
	s.item("•", "Six signals in a minute, one every ten seconds, then a minute's pause, and again; the answer is three in a minute. (alpine distress signal, in use since 1894)", 8.5, ink)
	s.item("•", "Both arms raised like a Y: yes, I need help. One arm up, one down: no.", 8.5, ink)

	s.head("Where each leg is furthest from a maintained road, and where that road is", 60)
	var rows [][]cell
	for i, l := range d.Judgement.Legs {
		f := facts.Of(d.Survey, l.Leg)
		if f.WorstRoadIndex < 0 || f.RoadM < 100 {
			continue
		}
		p := d.Survey.Samples[f.WorstRoadIndex]
		rows = append(rows, words(fmt.Sprint(i+1), fmt.Sprintf("km %.1f: %s", p.DistanceM/1000, position(orb.Point{p.Lon, p.Lat})), position(p.RoadAt), fmt.Sprintf("%.1f", p.RoadM/1000)))
	}
	if len(rows) > 0 {
		s.table([]tableColumn{{"leg", 0.35, true}, {"furthest place on the leg", 3, false}, {"nearest maintained road from it", 3, false}, {"km straight", 0.8, true}}, rows, 8)
	} else {
		s.text("No distance to a maintained road is known on this route, or the whole route follows one.", 9, false, soft, 0)
	}
	rows = nil
	for _, q := range d.Survey.Help {
		switch q.Kind {
		case geo.HelpMedical, geo.HelpPolice, geo.HelpPhone, geo.HelpSettlement, geo.HelpHut:
			if len(rows) < 24 {
				name := q.Name
				if name == "" {
					name = q.Tag
				}
				rows = append(rows, words(q.Kind.Key(), name, position(q.At), fmt.Sprintf("%.1f off km %.1f", q.OffM/1000, q.RouteM/1000)))
			}
		}
	}
	if len(rows) > 0 {
		s.head("Places of help near the route (from the map: check that they are open)", 60)
		s.table([]tableColumn{{"kind", 0.8, false}, {"name", 1.8, false}, {"where", 3, false}, {"km", 1.2, true}}, rows, 8)
	}
}

func orBlank(t string) string {
	if t == "" {
		return "______________________________"
	}
	return t
}

// signals draws the ground-to-air symbols for survivors.
func (b Book) signals(s *sheet) {
	const h, w = 62.0, 84.0
	s.room(h + 16)
	s.pdf.SetDrawColor(int(ink.R), int(ink.G), int(ink.B))
	s.pdf.SetLineCapStyle("butt")
	x := s.left + 6
	for _, g := range []struct {
		strokes [][4]float64 // in a unit square, y down
		means   string
	}{
		{[][4]float64{{0.15, 0, 0.5, 1}, {0.5, 1, 0.85, 0}}, "we need assistance"},
		{[][4]float64{{0.15, 0, 0.85, 1}, {0.85, 0, 0.15, 1}}, "we need medical help"},
		{[][4]float64{{0.2, 1, 0.2, 0}, {0.2, 0, 0.8, 1}, {0.8, 1, 0.8, 0}}, "no"},
		{[][4]float64{{0.15, 0, 0.5, 0.5}, {0.85, 0, 0.5, 0.5}, {0.5, 0.5, 0.5, 1}}, "yes"},
		{[][4]float64{{0.5, 1, 0.5, 0}, {0.5, 0, 0.25, 0.3}, {0.5, 0, 0.75, 0.3}}, "going this way"},
	} {
		s.pdf.SetLineWidth(5)
		for _, k := range g.strokes {
			s.pdf.Line(x+20+k[0]*36, s.y+8+k[1]*38, x+20+k[2]*36, s.y+8+k[3]*38)
		}
		s.font(8, false, ink)
		s.pdf.Text(x+(76-s.pdf.GetStringWidth(g.means))/2, s.y+h-2, g.means)
		x += w + 18
	}
	s.y += h + 8
}
