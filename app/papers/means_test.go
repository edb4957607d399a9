package papers

import (
	"slices"
	"strings"
	"testing"

	"lastroad/app/trip"
	"lastroad/geo"
	"lastroad/risk"
)

// onGround is the demo, with the second vehicle, whose legs with a recovery all ask for it on one ground.
func onGround(t *testing.T, ground func(k int) geo.Ground) *trip.Document {
	t.Helper()
	s, err := demoTogether()
	if err != nil {
		t.Fatal(err)
	}
	d, j := *s.Doc, *s.Doc.Judgement
	j.Legs = slices.Clone(j.Legs)
	k := 0
	for i := range j.Legs {
		if p := j.Legs[i].Needs.Pull; p != nil && p.Stuck.MassKg > 0 {
			c := *p
			c.Stuck.Ground = ground(k)
			j.Legs[i].Needs.Pull = &c
			k++
		}
	}
	d.Judgement = &j
	return &d
}

// Nobody digs in bare rock: the card of digging gives no minutes and no gain there, and says what helps; where all is rock
// there is no such card, and no pull is reckoned as if the wheels had been dug free.
func TestNoMinutesOfDiggingInBareRock(t *testing.T) {
	tables, err := trip.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	card := func(d *trip.Document, w Words, title string) *Card {
		cards, err := cardsOf(d, tables.Catalogue, w)
		if err != nil {
			t.Fatal(err)
		}
		if i := slices.IndexFunc(cards, func(c Card) bool { return c.Title == w.T(title) }); i >= 0 {
			return &cards[i]
		}
		return nil
	}
	mixed := onGround(t, func(k int) geo.Ground { return []geo.Ground{geo.LedgeRock, geo.Sand}[k%2] })
	rock := onGround(t, func(int) geo.Ground { return geo.LedgeRock })
	sand := onGround(t, func(int) geo.Ground { return geo.Sand })
	for _, lang := range Languages {
		w, _ := Language(lang)
		c := card(mixed, w, "card_dig")
		if c == nil {
			t.Fatalf("%s: there is no card of digging", lang)
		}
		named := map[bool]int{}
		for _, r := range c.Rows {
			is := strings.HasPrefix(r[0], w.ground(geo.LedgeRock))
			named[is]++
			if dashes := slices.Equal(r[3:], []string{"–", "–", "–"}); dashes != is || r[2] == "–" {
				t.Errorf("%s: row %q", lang, r)
			}
		}
		if named[true] == 0 || named[false] == 0 || !slices.Contains(c.Steps, w.T("dig_rock")) {
			t.Errorf("%s: rows %q with steps %q", lang, c.Rows, c.Steps)
		}
		if c := card(sand, w, "card_dig"); c == nil || slices.Contains(c.Steps, w.T("dig_rock")) {
			t.Errorf("%s: where there is no rock the card is %+v", lang, c)
		}
		if c := card(rock, w, "card_dig"); c != nil {
			t.Errorf("%s: where all is rock there is a card of digging: %q", lang, c.Rows)
		}
	}
	stuck := rock.Judgement.Legs[slices.IndexFunc(rock.Judgement.Legs, func(l risk.LegJudgement) bool { return l.Needs.Pull != nil })].Needs.Pull.Stuck
	pull, err := tables.Catalogue.Recovery.PullKN(stuck)
	if err != nil {
		t.Fatal(err)
	}
	w, _ := Language("en")
	c := card(rock, w, "card_kinetic")
	if c == nil {
		t.Fatal("there is no card of the stretching line")
	}
	if got, want := c.Rows[0][2], dec(pull.CentralKN, 0); got != want {
		t.Errorf("in bare rock the stretching line is held against %s kN, want the %s of wheels that nobody digs free", got, want)
	}
}
