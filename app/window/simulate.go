package window

import (
	"context"
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/risk"
)

// simulation is the check that the user can run on the readiness: whole trips played one by one.
type simulation struct {
	s      *shell
	box    *fyne.Container
	result *fyne.Container
	wait   *waiting
	play   *wrapButton
}

func newSimulation(s *shell) *simulation {
	m := &simulation{s: s, result: container.New(column{gap: 3}), wait: newWaiting(s.p)}
	m.play = newAction(tr("Play {{.N}} trips", with("N", round2(risk.UsualTrips))), theme.MediaPlayIcon(), m.run)
	m.play.Importance = widget.HighImportance
	m.box = container.New(column{gap: 4},
		prose(tr("The readiness is reckoned in one go from rates, remedies and stocks. This check plays whole trips instead: troubles come by chance, each uses up what it uses, and what is used up is gone.")),
		soft(tr("The stock rule of the reckoning is one-sided: it counts every trouble that could use a thing as using it. The simulation may therefore come out better, by more than chance; it must not come out worse by more than three standard errors.")),
		m.play, m.wait.box, m.result)
	return m
}

func (m *simulation) run() {
	d := m.s.p.doc
	if d == nil || d.Survey == nil {
		return
	}
	var r *risk.SimReport
	m.play.Disable()
	m.result.Objects = nil
	m.result.Refresh()
	m.wait.start(tr("Trips are being played"), func(ctx context.Context, report Report) (err error) {
		r, err = m.s.p.desk.Simulate(ctx, d, risk.UsualTrips, report)
		return err
	}, func(err error) {
		m.play.Enable()
		if err != nil {
			m.result.Add(prose(err.Error()))
		} else {
			m.show(r, d.Judgement)
		}
		m.result.Refresh()
	})
	// A check that was given up can be run again.
	stop := m.wait.cancel
	m.wait.cancel = func() { stop(); m.play.Enable() }
}

func (m *simulation) show(r *risk.SimReport, j *risk.Judgement) {
	sh := shares{0.4, 0.2, 0.25, 0.15}
	m.result.Add(container.New(sh, caption(""), caption(tr("reckoned")), caption(tr("played")), caption(tr("apart"))))
	line := func(name string, a, b, se float64, format string) {
		apart := "–"
		if se > 0 {
			apart = tr("{{.N}} SE", with("N", point(fmt.Sprintf("%+.1f", (b-a)/se))))
		}
		m.result.Add(container.New(sh, prose(name), plainText(point(fmt.Sprintf(format, a))), plainText(point(fmt.Sprintf(format, b))+" ± "+point(fmt.Sprintf(format, se))), plainText(apart)))
	}
	s := r.Simulated
	line(tr("Readiness of the trip"), r.Analytic, s.Readiness, s.ReadinessSE, "%.2f")
	if j != nil {
		line(tr("Trips of 1000 stopped by a trouble"), 1000*j.Trip.Stopped.P, 1000*s.Stopped, 1000*s.StoppedSE, "%.2f")
		line(tr("Trips of 1000 not out by own means"), 1000*j.Trip.NotUnaided.P, 1000*s.NotUnaided, 1000*s.UnaidedSE, "%.2f")
		line(tr("Trips of 1000 with no help in time"), 1000*j.Trip.NoHelp.P, 1000*s.NoHelp, 1000*s.NoHelpSE, "%.2f")
	}
	held := prose(spoken(r.Held))
	held.TextStyle.Bold = true
	if !r.Agrees {
		held.Importance = widget.DangerImportance
	}
	m.result.Add(held)
	m.result.Add(soft(tr("Behind ± stands one standard error (SE) of the {{.N}} played trips; in each {{.E}} troubles come on average.",
		map[string]any{"N": round2(float64(s.Trips)), "E": point(fmt.Sprintf("%.2f", s.Events))})))
}

func (s *shell) showSimulation() {
	m := newSimulation(s)
	d := dialog.NewCustom(tr("Check the readiness by playing trips"), tr("Close"), container.NewVScroll(m.box), s.win)
	d.SetOnClosed(m.wait.stop)
	z := s.win.Canvas().Size()
	d.Resize(fyne.NewSize(min(680, z.Width*0.9), min(520, z.Height*0.85)))
	s.p.present(s.win, d)
}
