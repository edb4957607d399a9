package window

import (
	"sync"

	_ "lastroad/app/window/locale" // before the toolkit looks at the locale
	"lastroad/app/words"
	"lastroad/risk/catalogue"
)

// speech is the book of the language shown: what the tables and the judging say is said by it.
var speech = sync.OnceValue(func() *words.Book { return words.In(shown()) })

// spoken gives a name or a sentence of the tables or the judging in the user's language. What is typed by the user
// or not known stays as it is.
func spoken(text string) string { return speech().Say(text) }

// catalogue is what can be carried and known for the open plan, the user's own items and figures with it.
func (p *Presenter) catalogue() *catalogue.Catalogue {
	base := p.desk.Catalogue()
	if p.doc == nil {
		return base
	}
	c, err := p.plan.Catalogue(base)
	if err != nil {
		return base // what is wrong is told when the plan is judged
	}
	return c
}
