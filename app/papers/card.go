package papers

import (
	"fmt"

	"lastroad/app/plot"
)

// Card is one recovery card: a drawing with its forces, a table of figures, the working and the cautions.
type Card struct {
	Title    string
	State    string   // what it is reckoned for: "2950 kg in mud, sunk to the hubs; legs 4 and 5"
	Alarm    []string // what does not hold and what would mend it, empty when all holds
	Draw     func(c plot.Canvas)
	DrawH    float64 // height of the drawing in points
	Head     []string
	Rows     [][]string
	Wide     int // column of the table that takes more room, 0 for the first
	Checks   []string
	Steps    []string
	Cautions []string
}

// cards draws the recovery cards. Cautions that stand on two cards and more are written once, at the head.
func (b Book) cards(s *sheet) {
	if len(b.Cards) == 0 {
		return
	}
	w := b.Words
	n := map[string]int{}
	var common []string
	for _, c := range b.Cards {
		for _, t := range c.Cautions {
			if n[t]++; n[t] == 2 {
				common = append(common, t)
			}
		}
	}
	intro := func(s *sheet) {
		s.title(0, w.T("cards"), 0)
		s.text(w.T("cards_note"), 9, false, ink, 0)
		if len(common) > 0 {
			s.head(w.T("cautions_cards"), 30)
			for _, t := range common {
				s.item("!", t, 8, warn)
			}
		}
		s.y += 4
	}
	// The head goes with the first card where a page holds both, and with the cautions alone where they are many.
	s.part()
	if h := s.height(intro) + s.height(func(s *sheet) { b.card(s, b.Cards[0], n) }); len(common) < 6 && s.y > margin && s.y+h > s.h-bottom {
		s.newPage()
	}
	intro(s)
	// In order, but a later card that fits fills what the next one would leave empty.
	left := append([]Card(nil), b.Cards...)
	for len(left) > 0 {
		pick := 0
		for i, c := range left {
			if s.y+s.height(func(s *sheet) { b.card(s, c, n) }) <= s.h-bottom {
				pick = i
				break
			}
		}
		c := left[pick]
		s.together(func(s *sheet) { b.card(s, c, n) })
		s.y += 8
		left = append(left[:pick:pick], left[pick+1:]...)
	}
}

func (b Book) card(s *sheet, c Card, times map[string]int) {
	s.title(1, c.Title, 0)
	s.y -= 2
	s.text(c.State, 8.5, false, soft, 0)
	s.y += 4
	if len(c.Alarm) > 0 {
		s.panel(c.Alarm, 8.2, warnBed, warn)
	}
	if c.Draw != nil {
		s.picture(c.DrawH, 0.75, func(p plot.Canvas) { c.Draw(p) })
	}
	if len(c.Rows) > 0 {
		var cols []tableColumn
		for i, h := range c.Head {
			share := 1.0
			if i == 0 {
				share = 1.5
			}
			if i > 0 && i == c.Wide {
				share = 2.2
			}
			cols = append(cols, tableColumn{h, share, i > 0})
		}
		var rows [][]cell
		for _, r := range c.Rows {
			rows = append(rows, cells(r...))
		}
		s.table(cols, rows, 8.2)
	}
	for _, t := range c.Checks {
		s.item("•", t, 8.2, ink)
	}
	for k, t := range c.Steps {
		s.item(fmt.Sprintf("%d.", k+1), t, 8.2, ink)
	}
	for _, t := range c.Cautions {
		if times[t] < 2 {
			s.item("!", t, 8, warn)
		}
	}
}
