package window

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/risk"
	"lastroad/risk/catalogue"
)

// register is the list of every number that the program rests on: what it is, where it comes from, and which
// legs' readiness it moves most.
type register struct {
	s      *shell
	search *widget.Entry
	list   *widget.List
	head   *widget.Label
	detail *fyne.Container
	wait   *waiting
	all    []registerRow
	shown  []int
	limits map[string]catalogue.Entry // what may be changed, by path
	effect map[string]*risk.Effect    // by table and path; nil before they are worked out
	box    fyne.CanvasObject
	moves  *wrapButton
	chosen int
}

type registerRow struct {
	trip.Number
	text string // what a search looks through
}

func newRegister(s *shell) (*register, error) {
	r := &register{s: s, search: widget.NewEntry(), head: soft(""), detail: container.New(column{gap: 3}), wait: newWaiting(s.p),
		limits: map[string]catalogue.Entry{}, chosen: -1}
	if err := r.load(); err != nil {
		return nil, err
	}
	r.search.SetPlaceHolder(tr("Search by name, table, source or kind of source"))
	r.search.OnChanged = func(string) { r.filter() }
	r.list = widget.NewList(func() int { return len(r.shown) }, func() fyne.CanvasObject {
		a, b := widget.NewLabel(""), caption("")
		a.Truncation, b.Truncation = fyne.TextTruncateEllipsis, fyne.TextTruncateEllipsis
		return container.New(tight{}, a, b)
	}, func(i widget.ListItemID, o fyne.CanvasObject) {
		c := o.(*fyne.Container)
		row := &r.all[r.shown[i]]
		c.Objects[0].(*widget.Label).SetText(said(r.name(row), figureText(row)))
		c.Objects[1].(*widget.Label).SetText(fromText(string(row.From)) + " · " + row.Table + r.movesText(row))
	})
	r.list.OnSelected = func(i widget.ListItemID) {
		if i < len(r.shown) {
			r.choose(r.shown[i])
		}
	}
	r.moves = newAction(tr("Work out what each number moves"), theme.MediaPlayIcon(), r.work)
	if s.p.doc == nil {
		r.moves.Disable()
		r.wait.text.SetText(tr("Open a route first."))
		r.wait.box.Show()
	}
	r.detail.Add(soft(tr("Choose a number to see where it comes from.")))
	top := container.New(column{gap: 3}, r.search, container.New(shares{0.6, 0.4}, r.head, r.moves), r.wait.box)
	split := container.NewHSplit(r.list, container.New(fixed{200, 100}, container.NewVScroll(r.detail)))
	split.Offset = 0.58
	r.box = container.NewBorder(top, nil, nil, nil, split)
	r.filter()
	return r, nil
}

// load reads the numbers as the open trip is judged with them.
func (r *register) load() error {
	all, err := r.numbers(r.s.p.doc)
	if err != nil {
		return err
	}
	r.all = r.all[:0]
	for _, e := range r.s.p.catalogue().Register() {
		if e.Least != 0 || e.Most != 0 {
			r.limits[e.Key] = e
		}
	}
	for _, n := range all {
		row := registerRow{Number: n}
		row.text = strings.ToLower(strings.Join([]string{n.Path, n.Table, n.Source, string(n.From), fromText(string(n.From)), n.Unit, n.Title, r.name(&row)}, " "))
		r.all = append(r.all, row)
	}
	return nil
}

// numbers are in the order in which one looks through them: those that have a name, those that a path has to do for, and
// last the climates, which hold seven times twelve months of each temperature.
func (r *register) numbers(d *trip.Document) ([]trip.Number, error) {
	all, err := r.s.p.desk.Numbers(d)
	slices.SortStableFunc(all, func(a, b trip.Number) int { return cmp.Compare(rank(&a), rank(&b)) })
	return all, err
}

func rank(n *trip.Number) int {
	switch {
	case n.Table == "climate.toml":
		return 2
	case n.Title == "" || n.Title == n.Path:
		return 1
	}
	return 0
}

// name is a number in words, the parts of its path where the table has none. A tag at its beginning stays as it is.
func (r *register) name(row *registerRow) string {
	if t := row.Title; t != "" && t != row.Path {
		if first, _, _ := strings.Cut(t, " "); strings.Contains(first, "=") {
			return spoken(t)
		}
		return capital(spoken(t))
	}
	return capital(strings.Join(strings.FieldsFunc(strings.ReplaceAll(row.Path, "_", " "), func(c rune) bool { return c == '.' || c == '/' }), " · "))
}

func figureText(row *registerRow) string {
	n := func(v float64) string { return point(fmt.Sprintf("%.4g", v)) }
	t := n(row.Central)
	if row.Low != row.High {
		t += " (" + n(row.Low) + " – " + n(row.High) + ")"
	}
	return strings.TrimSpace(t + " " + unitText(row))
}

// unitText is the unit of a number; plain ratios have none to show.
func unitText(row *registerRow) string {
	if row.Unit == "1" {
		return ""
	}
	return strings.ReplaceAll(row.Unit, "degC", "°C")
}

func (r *register) effectOf(row *registerRow) *risk.Effect {
	if r.effect == nil {
		return nil
	}
	return r.effect[row.Table+" "+row.Path]
}

func (r *register) movesText(row *registerRow) string {
	e := r.effectOf(row)
	if e == nil {
		return ""
	}
	leg, points := e.Most()
	if leg < 0 {
		return ""
	}
	return " · " + tr("moves leg {{.N}} by {{.P}} points", map[string]any{"N": leg + 1, "P": f1(math.Abs(points))})
}

// filter shows what the search asks for: every word must be somewhere in a line.
func (r *register) filter() {
	words := strings.Fields(strings.ToLower(r.search.Text))
	r.shown = r.shown[:0]
	for i := range r.all {
		fits := true
		for _, w := range words {
			fits = fits && strings.Contains(r.all[i].text, w)
		}
		if fits {
			r.shown = append(r.shown, i)
		}
	}
	if r.effect != nil {
		size := func(i int) float64 {
			if e := r.effectOf(&r.all[i]); e != nil {
				_, p := e.Most()
				return math.Abs(p)
			}
			return -1
		}
		sort.SliceStable(r.shown, func(a, b int) bool { return size(r.shown[a]) > size(r.shown[b]) })
	}
	r.head.SetText(tr("{{.N}} of {{.All}} numbers; every one says what it rests on.", map[string]any{"N": len(r.shown), "All": len(r.all)}))
	r.list.UnselectAll()
	r.list.Refresh()
	r.list.ScrollToTop()
}

// work has the effects worked out in the background.
func (r *register) work() {
	d := r.s.p.doc
	if d == nil || d.Survey == nil {
		return
	}
	var effects []risk.Effect
	r.moves.Disable()
	r.wait.start(tr("Every number is put to its low and high end"), func(ctx context.Context, report Report) (err error) {
		effects, err = r.s.p.desk.Effects(ctx, d, report)
		return err
	}, func(err error) {
		r.moves.Enable()
		if err != nil {
			r.s.showError(tr("What each number moves"), err)
			return
		}
		r.effect = map[string]*risk.Effect{}
		for i := range effects {
			r.effect[effects[i].Table+" "+effects[i].Path] = &effects[i]
		}
		r.filter()
		if r.chosen >= 0 {
			r.choose(r.chosen)
		}
	})
	stop := r.wait.cancel
	r.wait.cancel = func() { stop(); r.moves.Enable() }
}

// choose shows one number whole.
func (r *register) choose(i int) {
	r.chosen = i
	row := &r.all[i]
	r.detail.Objects = []fyne.CanvasObject{heading(r.name(row)), bold(figureText(row)), prose(tr("From: {{.From}}", with("From", fromText(string(row.From))))), prose(row.Source), soft(row.Table + " · " + row.Path)}
	if e := r.effectOf(row); e != nil {
		r.detail.Add(bold(tr("From its low to its high end")))
		r.detail.Add(prose(tr("the trip's readiness moves by {{.P}} points", with("P", signed(e.Trip)))))
		order := make([]int, len(e.Legs))
		for k := range order {
			order[k] = k
		}
		sort.SliceStable(order, func(a, b int) bool { return math.Abs(e.Legs[order[a]]) > math.Abs(e.Legs[order[b]]) })
		sv := r.s.p.Survey()
		for n, k := range order {
			if n >= 6 || math.Abs(e.Legs[k]) < 0.005 || sv == nil || k >= len(sv.Legs) {
				break
			}
			r.detail.Add(container.NewBorder(nil, nil, nil, plainText(point(fmt.Sprintf("%+.2f", e.Legs[k]))), prose(fmt.Sprintf("%d  %s", k+1, legName(sv, k)))))
		}
	} else if r.effect != nil {
		r.detail.Add(soft(tr("It moves nothing on this trip. Numbers by which the route was measured are tried only while the files that it was measured with are at hand.")))
	}
	r.override(row)
	r.detail.Refresh()
}

// override lets the user put a figure of their own in a number's place, within its permitted range.
func (r *register) override(row *registerRow) {
	lim, ok := r.limits[row.Path]
	if r.s.p.doc == nil {
		return
	}
	if !ok {
		r.detail.Add(soft(tr("This number cannot be changed on its own.")))
		return
	}
	r.detail.Add(bold(tr("Your own figure for this trip")))
	entries := make([]*widget.Entry, 3)
	var cells []fyne.CanvasObject
	for k, v := range []float64{row.Low, row.Central, row.High} {
		entries[k] = widget.NewEntry()
		entries[k].SetText(point(fmt.Sprintf("%.6g", v)))
		cells = append(cells, container.New(column{gap: -4}, caption([]string{tr("low"), tr("middle"), tr("high")}[k]), entries[k]))
	}
	note := soft(strings.TrimSpace(tr("Permitted: {{.A}} to {{.B}} {{.Unit}}", map[string]any{"A": point(fmt.Sprintf("%g", lim.Least)), "B": point(fmt.Sprintf("%g", lim.Most)), "Unit": unitText(row)})))
	path, name := row.Path, r.name(row)
	take := newAction(tr("Judge with this figure"), theme.ConfirmIcon(), func() {
		var v [3]float64
		for k, e := range entries {
			x, err := r.s.p.format().Parse(units.Number, e.Text)
			if err != nil {
				note.Importance = widget.DangerImportance
				note.SetText(err.Error())
				return
			}
			v[k] = x
		}
		if err := r.s.p.setFigure(name, trip.OwnFigure{Key: path, Low: v[0], Central: v[1], High: v[2]}); err != nil {
			note.Importance = widget.DangerImportance
			note.SetText(err.Error())
			return
		}
		r.again(path)
	})
	r.detail.Add(container.New(&even{gap: 4}, cells...))
	r.detail.Add(note)
	r.detail.Add(take)
	for _, f := range r.s.p.plan.Figures {
		if f.Key == path {
			r.detail.Add(newAction(tr("Back to the table's figure"), theme.ContentUndoIcon(), func() {
				r.s.p.clearFigure(name, path)
				r.again(path)
			}))
		}
	}
}

// again reads the numbers anew and shows the same one.
func (r *register) again(path string) {
	r.effect = nil // of the figures before
	if err := r.reload(); err != nil {
		r.s.showError(tr("Assumptions"), err)
		return
	}
	for i := range r.all {
		if r.all[i].Path == path {
			r.choose(i)
		}
	}
}

func (r *register) reload() error {
	d := *r.s.p.doc
	d.Plan = r.s.p.plan // not judged yet, and shown at once
	all, err := r.numbers(&d)
	if err != nil {
		return err
	}
	for i := range r.all {
		r.all[i].Number = all[i]
	}
	r.list.Refresh()
	return nil
}

// setFigure puts a figure of the user's own into the plan; the error says why it is refused, with the range.
func (p *Presenter) setFigure(name string, f trip.OwnFigure) error {
	try := trip.Plan{Figures: []trip.OwnFigure{f}}
	if _, err := try.Catalogue(p.desk.Catalogue()); err != nil {
		return err
	}
	p.Edit(tr("Own figure: {{.What}}", with("What", name)), "", func(pl *trip.Plan) {
		for i := range pl.Figures {
			if pl.Figures[i].Key == f.Key {
				pl.Figures[i] = f
				return
			}
		}
		pl.Figures = append(pl.Figures, f)
	})
	return nil
}

func (p *Presenter) clearFigure(name, key string) {
	p.Edit(tr("Table's figure: {{.What}}", with("What", name)), "", func(pl *trip.Plan) {
		for i := range pl.Figures {
			if pl.Figures[i].Key == key {
				pl.Figures = append(pl.Figures[:i:i], pl.Figures[i+1:]...)
				return
			}
		}
	})
}

func (s *shell) showRegister() {
	r, err := newRegister(s)
	if err != nil {
		s.showError(tr("Assumptions"), err)
		return
	}
	d := dialog.NewCustom(tr("What the program rests on"), tr("Close"), r.box, s.win)
	d.SetOnClosed(r.wait.stop)
	z := s.win.Canvas().Size()
	d.Resize(fyne.NewSize(min(1080, z.Width*0.94), z.Height*0.88))
	s.p.present(s.win, d)
	s.win.Canvas().Focus(r.search)
}
