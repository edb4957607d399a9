package window

import (
	"fmt"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/risk"
	"lastroad/risk/catalogue"
)

// places are where a thing may ride.
func places() (keys, names []string) {
	return []string{"floor", "rear", "roof", "front", "ball", "cab"},
		[]string{tr("floor"), tr("rear"), tr("roof"), tr("front"), tr("ball"), tr("cab")}
}

// itemSheet edits one thing that is carried: how many, where, and what is stamped on the piece itself.
func (s *loadScreen) itemSheet(r loadRow) {
	win := windowOf(s.right)
	if win == nil || r.item == nil || r.at < 0 {
		return
	}
	box := container.New(column{gap: 3})
	for _, o := range s.itemFields(r) {
		box.Add(o)
	}
	d := dialog.NewCustom(capital(spoken(r.item.Title)), tr("Close"), container.NewVScroll(box), win)
	d.SetOnClosed(func() { s.right.UnselectAll() })
	d.Resize(fyne.NewSize(520, 420))
	s.p.present(win, d)
}

func (s *loadScreen) itemFields(r loadRow) []fyne.CanvasObject {
	w, it := s.whose, r.item
	at := func(pl *trip.Plan) *risk.LoadItem {
		if load := w.of(pl).Load; r.at < len(load) && load[r.at].Item == it.Key {
			return &load[r.at]
		}
		return &risk.LoadItem{} // the line went away meanwhile; edits go nowhere
	}
	id := fmt.Sprintf("item%d.%s.", w, it.Key)
	quantity := units.Number
	if it.Unit == "L" {
		quantity = units.Volume
	}
	keys, names := places()
	rows := []fyne.CanvasObject{
		newQuantityField(s.p, fieldSpec{id: id + "count", label: tr("How many"), quantity: quantity, low: 0.01, high: 2000,
			get: func(pl *trip.Plan) float64 { return at(pl).Count }, set: func(pl *trip.Plan, v float64) {
				if v > 0 {
					at(pl).Count = v
				}
			}}),
		choiceField(s.p, tr("Where"), keys, names, func(pl *trip.Plan) string { return firstOf(at(pl).Place, it.Place) }, func(pl *trip.Plan, k string) { at(pl).Place = k }),
		newQuantityField(s.p, fieldSpec{id: id + "mass", label: tr("Mass of each"), quantity: units.Mass, low: 0.001, high: 1000,
			get: func(pl *trip.Plan) float64 { return at(pl).MassKg }, set: func(pl *trip.Plan, v float64) { at(pl).MassKg = v },
			standard: func(*trip.Plan) float64 { return it.MassKg }}),
	}
	if it.Key == "water" {
		rows = append(rows, newQuantityField(s.p, fieldSpec{id: id + "containers", label: tr("Divided over so many equal containers"), quantity: units.Number, low: 1, high: 100,
			get: func(pl *trip.Plan) float64 { return at(pl).Containers }, set: func(pl *trip.Plan, v float64) { at(pl).Containers = math.Floor(v) }}))
	}
	if it.LengthM > 0 {
		rows = append(rows, newQuantityField(s.p, fieldSpec{id: id + "length", label: tr("Length"), quantity: units.Length, low: 0.2, high: 200,
			get: func(pl *trip.Plan) float64 { return at(pl).LengthM }, set: func(pl *trip.Plan, v float64) { at(pl).LengthM = v },
			standard: func(*trip.Plan) float64 { return it.LengthM }}))
	}
	if it.Force {
		rows = append(rows, newQuantityField(s.p, fieldSpec{id: id + "rating", label: tr("Rating stamped on it"), quantity: units.Force, low: 0.5, high: 1000,
			get: func(pl *trip.Plan) float64 { return max(0, at(pl).RatingKN) }, set: func(pl *trip.Plan, v float64) { at(pl).RatingKN = v },
			standard: func(*trip.Plan) float64 { return it.RatingKN }}),
			checkField(s.p, tr("It carries no readable rating"), func(pl *trip.Plan) bool { return at(pl).RatingKN < 0 }, func(pl *trip.Plan, v bool) {
				at(pl).RatingKN = 0
				if v {
					at(pl).RatingKN = -1
				}
			}),
			soft("⚠ "+tr("Type what is stamped on your own piece. A piece without a readable rating is never used in a recovery.")))
	}
	if o, ok := s.p.plan.OwnItem(it.Key); ok {
		rows = append(rows, newAction(tr("What this thing is…"), theme.DocumentCreateIcon(), func() { s.ownSheet(*o) }))
	} else {
		rows = append(rows, soft(sourceText(it)))
	}
	remove := newAction(tr("Leave it behind"), theme.DeleteIcon(), func() { s.leave(r) })
	return append(rows, remove)
}

// sourceText says what the catalogue's figures of a thing rest on.
func sourceText(it *catalogue.Item) string {
	if it.Source == "" {
		return ""
	}
	return tr("Catalogue figures: {{.Source}}", with("Source", it.Source))
}

// needsRating reports whether a carried thing bears force and nobody has said what it is rated for.
func needsRating(it *catalogue.Item, l risk.LoadItem) bool {
	return it.Force && l.RatingKN == 0 && it.RatingKN == 0
}
