package papers

import (
	"fmt"
	"math"
	"strings"

	"lastroad/app/units"
)

// placeOrder is the order of the load list, front to back.
var placeOrder = []string{"front", "cab", "floor", "rear", "roof", "ball", ""}

// loadList lists what is carried by place, with boxes to tick, in two columns.
func (b Book) loadList(s *sheet) {
	w, l := b.Words, b.Doc.Judgement.Load
	s.newPage()
	s.title(0, w.T("load_list"), 0)
	s.text(w.T("load_sum", w.kg(l.TotalKg), w.kg(l.GVMKg), w.kg(l.PayloadLeftKg), w.kg(l.FrontKg), w.kg(l.FrontLimitKg), w.kg(l.RearKg), w.kg(l.RearLimitKg), w.kg(l.RoofKg), w.kg(l.RoofLimitKg)), 9, false, ink, 0)
	s.text(w.T("load_decides"), 8.5, false, warn, 0)
	s.y += 4
	var blocks []func(*sheet)
	known := map[string]bool{}
	for _, p := range placeOrder {
		known[p] = true
	}
	for _, place := range placeOrder {
		var rows [][]cell
		sum := 0.0
		for _, r := range b.Load {
			p := r.Place
			if !known[p] {
				p = ""
			}
			if p != place {
				continue
			}
			title := w.say(r.Title)
			if math.IsNaN(r.RatingKN) {
				title += " – " + w.T("no_rating")
			} else if r.RatingKN > 0 {
				title += " – " + w.kN(r.RatingKN, 1)
			}
			sum += r.Count * r.EachKg
			rows = append(rows, []cell{{tick: true}, {text: title}, {text: w.mark(trimNumber(r.Count))}, {text: w.number(units.Mass, r.Count*r.EachKg, 1)}})
		}
		if len(rows) == 0 {
			continue
		}
		// Long places go in pieces, so that the columns come out alike.
		const most = 16
		for k := 0; k < len(rows); k += most {
			end := k + most
			if end+4 >= len(rows) {
				end = len(rows) // no piece of a few rows
			}
			if k > 0 && len(rows)-k <= 4 {
				break
			}
			part := rows[k:min(len(rows), end)]
			title := w.T("place_"+place) + ": " + w.measure(units.Mass, sum, 1)
			if k > 0 {
				title = w.T("place_"+place) + ", " + w.T("continued")
			}
			blocks = append(blocks, func(s *sheet) {
				s.head(title, 30)
				s.table([]tableColumn{{"", 0.28, false}, {w.T("item"), 3, false}, {w.T("count"), 0.75, true}, {w.unit(units.Mass), 0.75, true}}, part, 8)
			})
		}
	}
	b.inTwo(s, blocks)
}

// inTwo lays blocks in two columns, in their order: down the left one first, the split where both come out
// most alike. Blocks that two columns of one page cannot hold go one below the other.
func (b Book) inTwo(s *sheet, blocks []func(*sheet)) {
	const gap = 18.0
	left, right := s.left, s.right
	s.right = left + (right-left-gap)/2
	h := make([]float64, len(blocks))
	total := 0.0
	for i, d := range blocks {
		h[i] = s.height(d)
		total += h[i]
	}
	s.right = right
	best, at, sum := math.Inf(1), 0, 0.0
	for i := 0; i <= len(blocks); i++ {
		if m := math.Max(sum, total-sum); m < best {
			best, at = m, i
		}
		if i < len(blocks) {
			sum += h[i]
		}
	}
	if s.y+best > s.h-bottom {
		for _, d := range blocks {
			d(s)
		}
		return
	}
	all := func(list []func(*sheet)) func(*sheet) {
		return func(s *sheet) {
			for _, d := range list {
				d(s)
			}
		}
	}
	s.columns(gap, []float64{1, 1}, all(blocks[:at]), all(blocks[at:]))
}

func trimNumber(v float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", v), "0"), ".")
}

// tyres is the card for the door: pressures by leg.
func (b Book) tyres(s *sheet) {
	w := b.Words
	var rows [][]cell
	last := ""
	for i, l := range b.Doc.Judgement.Legs {
		n := l.Needs
		if n.PressureKPa[0] <= 0 {
			continue
		}
		speed := "–"
		if !math.IsNaN(n.SpeedCapKmh) && n.PressureKPa != n.RoadKPa {
			speed = w.most(units.Speed, n.SpeedCapKmh, 0)
		}
		pump := "–"
		if n.PressureKPa != n.RoadKPa {
			pump = dec(n.CompressorMin, 0)
		}
		key := fmt.Sprintf("%.0f %.0f %s", n.PressureKPa[0], n.PressureKPa[1], speed)
		if key == last {
			r := rows[len(rows)-1]
			r[0].text = strings.SplitN(r[0].text, "–", 2)[0] + fmt.Sprintf("–%d", i+1)
			continue
		}
		last = key
		both := func(kpa float64) string {
			main, other, _ := strings.Cut(w.pressure(kpa), nbsp+w.unit(units.Pressure)+" (")
			other, _, _ = strings.Cut(other, nbsp)
			return main + " (" + other + ")"
		}
		rows = append(rows, []cell{{text: fmt.Sprint(i + 1), bold: true}, {text: both(n.PressureKPa[0]), bold: true}, {text: both(n.PressureKPa[1]), bold: true}, {text: speed}, {text: pump}, {text: w.say(n.PressureReason)}})
	}
	if len(rows) == 0 {
		return
	}
	other := "psi"
	if w.units.System != units.Metric {
		other = "kPa"
	}
	s.y += 6
	s.together(func(s *sheet) {
		s.title(0, w.T("tyre_card"), 0)
		s.text(w.T("tyre_card_note", other), 9, false, ink, 0)
		s.y += 4
		s.table([]tableColumn{{w.T("legs_head"), 0.7, false}, {w.T("front_kpa", w.unit(units.Pressure)), 1.15, true}, {w.T("rear_kpa", w.unit(units.Pressure)), 1.15, true}, {w.T("most_kmh", w.unit(units.Speed)), 0.85, true}, {w.T("pump_min"), 1.05, true}, {w.T("tyre_for"), 3, false}}, rows, 8.5)
	})
}
