package window

import (
	"math"
	"sort"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/units"
	"lastroad/risk"
)

// needRow is one line of what the leg asks for.
type needRow struct {
	what, want, have string
	short            string // "" when covered
	note             string // what the row rests on, under the thing; "" for nothing
}

// needs is the table of what the leg asks for against what is carried.
func (s *legSheet) needs(lj *risk.LegJudgement) {
	f := s.p.format()
	n := &lj.Needs
	var rows []needRow
	band := func(q units.Quantity, b risk.Band) string { return f.Band(q, b.Low, b.Central, b.High) }
	if n.WaterL.Central > 0 {
		r := needRow{what: tr("Drinking water"), want: band(units.Volume, n.WaterL), have: f.Format(units.Volume, n.WaterHaveL)}
		if d := n.WaterL.Central - n.WaterHaveL; d > 0 {
			r.short = tr("{{.N}} short", with("N", f.Format(units.Volume, d)))
		}
		rows = append(rows, r)
	}
	if n.FuelReachL.Central > 0 {
		r := needRow{what: tr("Fuel to the next place"), want: band(units.Volume, n.FuelReachL), have: band(units.Volume, n.FuelHaveL)}
		if d := n.FuelReachL.High - n.FuelHaveL.Low; d > 0 {
			r.short = tr("{{.N}} short at worst", with("N", f.Format(units.Volume, d)))
		}
		rows = append(rows, r)
	}
	if p := n.Pull; p != nil {
		r := needRow{what: tr("Pull"), want: band(units.Force, p.RequiredKN), have: spoken(p.RigTitle)}
		if p.Rig == "" {
			r.have, r.short = "", tr("no rig holds: {{.Why}}", with("Why", firstOf(spoken(p.Fails), tr("not possible"))))
		}
		r.note = spoken(p.GroundNote)
		rows = append(rows, r)
		if p.LineM > 0 {
			l := needRow{what: tr("Line from vehicle to anchor"), want: f.Format(units.Small, p.LineM), have: f.Format(units.Small, p.HaveLineM)}
			if p.HaveLineM < p.LineM {
				l.short = tr("{{.N}} short", with("N", f.Format(units.Small, p.LineM-p.HaveLineM)))
			}
			rows = append(rows, l)
		}
	}
	if n.PressureKPa[0] > 0 {
		rows = append(rows, needRow{what: tr("Tyres front, rear"), want: f.Format(units.Pressure, n.PressureKPa[0]) + ", " + f.Format(units.Pressure, n.PressureKPa[1]),
			have: tr("road {{.A}}, {{.B}}", map[string]any{"A": f.Format(units.Pressure, n.RoadKPa[0]), "B": f.Format(units.Pressure, n.RoadKPa[1])})})
		c := needRow{what: tr("Air back up"), want: minutes(n.CompressorMin), have: tr("by compressor")}
		if n.CompressorMin != n.CompressorMin {
			c.want, c.have, c.short = "", tr("no compressor carried"), tr("missing")
		}
		rows = append(rows, c)
	}
	if n.DaylightMin == n.DaylightMin {
		r := needRow{what: tr("Daylight left at the end"), want: minutes(math.Max(0, n.DaylightMin))}
		if n.DaylightMin < 0 {
			r.want, r.short = "", tr("{{.N}} after dark", with("N", minutes(-n.DaylightMin)))
		}
		rows = append(rows, r)
	}
	if len(rows) == 0 {
		return
	}
	s.needTable("needs", tr("What the leg needs"), rows)
	parts := append(append([]risk.PartNeed(nil), n.Parts...), n.Skills...)
	if len(parts) == 0 {
		return
	}
	missing := 0
	rows = rows[:0]
	// What is missing comes first, what is asked for most often first among the rest.
	sort.SliceStable(parts, func(i, j int) bool {
		if parts[i].Missing != parts[j].Missing {
			return parts[i].Missing
		}
		return parts[i].Chance > parts[j].Chance
	})
	for _, pt := range parts {
		rows = append(rows, partRow(pt))
		if pt.Missing {
			missing++
		}
	}
	title := tr("Parts, tools and skills: all {{.N}} at hand", with("N", len(parts)))
	if missing > 0 {
		title = tr("Parts, tools and skills: {{.M}} of {{.N}} missing", map[string]any{"M": missing, "N": len(parts)})
	}
	s.needTable("parts", title, rows)
}

// needTable is a section with what is wanted and what is carried.
func (s *legSheet) needTable(key, title string, rows []needRow) {
	s.section(key, title, true, func() []fyne.CanvasObject {
		grid := container.New(&needGrid{})
		for _, h := range []string{"", tr("wanted"), tr("carried")} {
			grid.Add(caption(h))
		}
		for _, r := range rows {
			what := plainText(r.what)
			have := plainText(r.have)
			if r.short != "" {
				have = widget.NewLabel("✗ " + strings.TrimSpace(r.have+"  "+r.short))
				have.Importance = widget.DangerImportance
			} else if r.have != "" {
				have.SetText("✓ " + r.have)
			}
			have.Wrapping = fyne.TextWrapWord
			what.Wrapping = fyne.TextWrapWord
			want := plainText(r.want)
			want.Wrapping = fyne.TextWrapWord
			if r.note != "" {
				grid.Add(container.New(column{gap: -rowOverlap}, what, soft(r.note)))
			} else {
				grid.Add(what)
			}
			grid.Add(want)
			grid.Add(have)
		}
		return []fyne.CanvasObject{grid}
	})
}

func partRow(pt risk.PartNeed) needRow {
	r := needRow{what: capital(tr(pt.Title)), want: tr("{{.N}}, asked for {{.Odds}}", map[string]any{"N": trim(pt.Want), "Odds": oneIn(pt.Chance)}), have: trim(pt.Have)}
	if pt.Missing {
		r.short = tr("missing")
		if pt.Have == 0 {
			r.have = ""
		}
	}
	return r
}
