package papers

import (
	"fmt"

	"lastroad/app/plot"
)

// Card is one recovery card: a drawing with its forces, the working and the cautions.
type Card struct {
	Title    string
	State    string // "bogged to the hub in mud, 12 % up; legs 4 and 5"
	Draw     func(c plot.Canvas)
	Steps    []string
	Cautions []string
}

func (b Book) cards(s *sheet) {
	if len(b.Cards) == 0 {
		return
	}
	for i, c := range b.Cards {
		if i == 0 {
			s.newPage()
			s.title(0, "Recovery cards", 0)
			s.text("Forces are estimates for the states named; the lowest stamped rating in the chain decides. Read the cautions aloud before anybody touches a line.", 9, false, ink, 0)
			s.y += 4
		}
		s.title(1, c.Title, 190)
		s.text(c.State, 9, false, soft, 0)
		s.y += 4
		if c.Draw != nil {
			p := s.picture(150, 0.75)
			c.Draw(p)
			p.close()
		}
		for k, t := range c.Steps {
			s.item(fmt.Sprintf("%d.", k+1), t, 8.5, ink)
		}
		for _, t := range c.Cautions {
			s.item("!", t, 8.5, warn)
		}
	}
}
