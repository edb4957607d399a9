package window

import (
	"fmt"
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/bench"
	"lastroad/app/plot"
	"lastroad/app/units"
	"lastroad/risk/recovery"
)

// show brings the right half in line with the last answer.
func (s *benchScreen) show() {
	s.verdict.Objects, s.parts.Objects, s.cautions.Objects = nil, nil, nil
	add := func(o ...fyne.CanvasObject) { s.parts.Objects = append(s.parts.Objects, o...) }
	say := func(title, text string, importance widget.Importance) {
		h := heading(title)
		h.Importance = importance
		s.verdict.Objects = append(s.verdict.Objects, container.New(tight{}, h, prose(text)))
	}
	switch r := s.report; {
	case r == nil:
		s.rigShape.set(nil, s.p)
		switch {
		case s.asked != "":
			say(tr("Figures are missing"), tr("Please give {{.List}}.", with("List", s.asked)), widget.WarningImportance)
		case s.err != nil:
			say(tr("These figures cannot be meant"), faultText(s.err), widget.DangerImportance)
		default:
			say(tr("Being worked out…"), "", widget.MediumImportance)
		}
		for _, c := range s.tab.Cautions("line", "winch", "anchor") {
			s.cautions.Add(cautionLine(s.p.both(spoken(c.Text))))
		}
	default:
		s.headline(r, say)
		s.rigShape.set(r, s.p)
		for _, part := range r.Parts() {
			if part.Key == "cautions" {
				continue
			}
			add(heading(partTitle(part.Key, part.Title)))
			switch part.Key {
			case "chain":
				add(s.chain(part.Rows, r.Weakest()))
			case "rig":
				add(s.rows(r, part)...)
				if t := s.layers(r); t != nil {
					add(t)
				}
			default:
				add(s.rows(r, part)...)
			}
		}
		for _, c := range r.Cautions {
			s.cautions.Add(cautionLine(s.p.both(spoken(c.Text))))
		}
	}
	for _, o := range []*fyne.Container{s.verdict, s.parts, s.cautions} {
		o.Refresh()
	}
}

// headline is the answer: does it hold, by which rig, with what margin.
func (s *benchScreen) headline(r *bench.Report, say func(title, text string, importance widget.Importance)) {
	f := s.p.format()
	w := r.Working
	if w.Holds {
		text := capital(tr(w.Rig.Title)) + "."
		if w.Anchor.Hold.Judged {
			text += " " + tr("No figure exists for the {{.A}}, which must hold {{.F}}.", map[string]any{"A": tr(w.Anchor.Title), "F": f.Format(units.Force, w.Anchor.NeedKN)})
		}
		say(tr("It holds by these figures"), text, widget.SuccessImportance)
	} else {
		text := s.p.both(bench.Sentence(spoken(w.Fails)))
		if w.Rig.Title != "" {
			text += " " + tr("The rig that comes nearest: {{.Rig}}.", with("Rig", tr(w.Rig.Title)))
		}
		say(tr("It does not hold"), text, widget.DangerImportance)
	}
	pull, what := f.Band(units.Force, w.Pull.LowKN, w.Pull.CentralKN, w.Pull.HighKN), tr("pull asked for")
	if w.Pull.CentralKN == 0 {
		pull, what = f.Format(units.Force, w.Pull.HoldBackKN), tr("to be held back")
	}
	weak, margin := "–", tr("no chain to weigh")
	if name := w.Weakest(); name != "" && w.Margin > 0 {
		weak, margin = "× "+point(fmt.Sprintf("%.2f", w.Margin)), tr("weakest: {{.Link}}", with("Link", tr(name)))
	}
	fall := "–"
	if w.Tackle.FallLineKN > 0 {
		fall = f.Format(units.Force, w.Tackle.FallLineKN)
	}
	s.verdict.Add(container.New(&even{gap: 6}, tile(pull, what), tile(fall, tr("fall line at the winch")), tile(weak, margin)))
}

// tile is a figure with what it is, wrapped so that neither is cut.
func tile(figure, what string) fyne.CanvasObject {
	n := prose(figure)
	n.TextStyle.Bold, n.SizeName = true, theme.SizeNameSubHeadingText
	bg := canvas.NewRectangle(theme.Color(theme.ColorNameHeaderBackground))
	bg.CornerRadius = 5
	return container.NewStack(bg, container.New(layout.NewCustomPaddedLayout(0, 2, 2, 2), container.New(narrow{}, container.New(tight{}, n, soft(what)))))
}

// rows are the lines of a part: a title in bold, the figure beside it, and the sum beneath.
func (s *benchScreen) rows(r *bench.Report, part bench.Part) (out []fyne.CanvasObject) {
	dead := 0
	for _, row := range part.Rows {
		text := s.p.both(spoken(row.Text))
		if row.Key != "" && part.Key != "cures" {
			if t := s.stepText(r, row, dead); t != "" {
				text = t
			}
			if row.Key == "dead_line" {
				dead++
			}
		}
		switch row.Mark {
		case bench.OK:
			text = "✓ " + text
		case bench.Fails:
			text = "✗ " + text
		}
		l := prose(text)
		if row.Mark == bench.Fails && part.Key == "checks" {
			l.Importance = widget.DangerImportance
		}
		if row.Title == "" {
			if row.Mark == bench.NoMark {
				l.SetText("· " + text)
			}
			out = append(out, l)
			continue
		}
		name := bold(rowTitle(row))
		name.Wrapping = fyne.TextWrapWord
		out = append(out, container.New(shares2{0.3}, name, l))
	}
	return out
}

// chain is the table of the links with their margins, and how each limit was found beneath.
func (s *benchScreen) chain(rows []bench.Row, weakest string) fyne.CanvasObject {
	f := s.p.format()
	grid := container.New(&needGrid{cols: []float32{0.4, 0.21, 0.21, 0.18}})
	for _, h := range []string{tr("link"), tr("force"), tr("bears"), tr("margin")} {
		grid.Add(caption(h))
	}
	for _, row := range rows {
		l := row.Link
		title := prose(capital(tr(l.Title)))
		limit, margin := tr("nothing"), "✗"
		if l.Gear != "" {
			limit, margin = f.Format(units.Force, l.LimitKN), "× "+point(fmt.Sprintf("%.2f", l.Margin))
			if l.Margin >= recovery.MostMargin {
				margin = tr("ample")
			}
		}
		m := prose(margin)
		switch {
		case row.Mark == bench.Fails:
			m.Importance = widget.DangerImportance
			title.Importance = widget.DangerImportance
			if l.Gear != "" {
				m.SetText("✗ " + margin)
			}
		case l.Title == weakest:
			m.TextStyle.Bold = true
			title.TextStyle.Bold = true
			title.SetText(title.Text + " – " + tr("weakest"))
		}
		for _, o := range []fyne.CanvasObject{title, prose(f.Format(units.Force, l.ForceKN)), prose(limit), m} {
			grid.Add(o)
		}
	}
	how := container.New(tight{})
	for _, row := range rows {
		text := s.p.both(spoken(row.Link.How))
		if g := row.Link.Gear; g != "" {
			text = spoken(g) + ", " + text
		}
		how.Add(soft(said(capital(tr(row.Title)), text)))
	}
	return container.New(column{}, grid, how)
}

// layers is the pull of the winch by layer of rope on the drum, with the layer in use marked.
func (s *benchScreen) layers(r *bench.Report) fyne.CanvasObject {
	w := r.Kit.Winch
	if w == nil || r.Rig.Manual || r.Winch.Spool.Layers < 2 {
		return nil
	}
	sp, f := r.Winch.Spool, s.p.format()
	text := ""
	for n := 1; n <= sp.Layers; n++ {
		if text != "" {
			text += " · "
		}
		one := tr("layer {{.N}}: {{.F}}", map[string]any{"N": n, "F": f.Format(units.Force, recovery.LayerPull(w.RatedKN, sp.DrumMM, w.Rope.DiameterMM, n))})
		if n == sp.Layer {
			one = "▶ " + one
		}
		text += one
	}
	name := bold(tr("Pull by layer"))
	name.Wrapping = fyne.TextWrapWord
	return container.New(shares2{0.3}, name, prose(text))
}

// rigPicture is the drawing of a rig, hidden while there is none.
type rigPicture struct {
	widget.BaseWidget
	d      recovery.Diagram
	raster *canvas.Raster
	pen    *plot.Raster
	note   *widget.Label
	box    *fyne.Container
}

func newRigPicture() *rigPicture {
	r := &rigPicture{pen: plot.NewRaster(pictureFonts()), note: soft("")}
	r.raster = newPicture(func(w, h int) image.Image {
		img := image.NewRGBA(image.Rect(0, 0, w, h))
		k := float32(1)
		if s := r.raster.Size().Width; s > 0 {
			k = float32(w) / s
		}
		r.pen.Begin(img)
		plot.DrawRig(r.pen, r.d, palette(), k)
		return img
	})
	r.raster.SetMinSize(fyne.NewSize(200, 170))
	r.box = container.New(column{}, r.raster, r.note)
	r.ExtendBaseWidget(r)
	return r
}

// CreateRenderer implements fyne.Widget.
func (r *rigPicture) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(r.box) }

// set shows the rig of a report in the user's words and units.
func (r *rigPicture) set(b *bench.Report, p *Presenter) {
	if b == nil || len(b.Diagram.Nodes) == 0 {
		r.Hide()
		return
	}
	r.d = worded(b.Diagram, p)
	r.note.SetText(tr("Keep everybody at least {{.D}} away, and out of the shaded ground; nobody inside a bend of the line. Not to scale.",
		with("D", p.format().Format(units.Distance, math.Ceil(b.ClearM-1e-9)))))
	r.Show()
	r.raster.Refresh()
	r.Refresh()
}

// worded gives a diagram the user's words and units.
func worded(d recovery.Diagram, p *Presenter) recovery.Diagram {
	f := p.format()
	nodes, legs := append([]recovery.DiagramNode(nil), d.Nodes...), append([]recovery.DiagramLeg(nil), d.Legs...)
	for i := range nodes {
		n := &nodes[i]
		force := f.Format(units.Force, n.ForceKN)
		switch n.Kind {
		case "vehicle":
			n.Label = tr("stuck vehicle")
		case "helper":
			n.Label = tr("winch vehicle")
		case "winch":
			n.Label = tr("winch") + ", " + force
		case "block":
			n.Label = tr("block") + ", " + force
			if n.Key == "block_turn" {
				n.Label = tr("turning block") + ", " + force
			}
		case "anchor":
			n.Label = tr(n.Label)
			if n.ForceKN > 0 {
				n.Label += ", " + force
			}
			n.ForceKN = 0
		case "point":
			n.Label = tr("line end")
		}
	}
	for i := range legs {
		legs[i].Label = f.Format(units.Force, legs[i].ForceKN)
	}
	d.Nodes, d.Legs, d.ClearM = nodes, legs, 0
	return d
}
