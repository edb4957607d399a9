package window

import (
	"context"
	"sync"

	"fyne.io/fyne/v2/dialog"

	"lastroad/app/trip"
)

// recoverer is a desk that can open what a crashed window left.
type recoverer interface {
	Recover(ctx context.Context, u trip.Unsaved, report Report) (*trip.Document, error)
}

// journalKeeper writes every edit to a journal, in a worker and only the newest, so that a crash loses at
// most the last change.
type journalKeeper struct {
	journal *trip.Journal
	mu      sync.Mutex
	next    func()
	busy    bool
	running sync.WaitGroup
	failed  func(error)
	told    bool
	written []func() // run once after the next edit is safely in the journal
}

func newJournalKeeper(failed func(error)) (*journalKeeper, error) {
	j, err := trip.NewJournal()
	if err != nil {
		return nil, err
	}
	return &journalKeeper{journal: j, failed: failed}, nil
}

// Keep implements keeper.
func (k *journalKeeper) Keep(p *Presenter) {
	d := p.doc
	if d == nil {
		return
	}
	if !p.edited() {
		k.do(k.journal.Clear)
		return
	}
	s := trip.Saved{Plan: p.plan.Clone(), Route: d.RouteBytes}
	path := d.Path
	if d.Demo {
		path = trip.DemoPath
	}
	k.do(func() {
		switch err := k.journal.Write(s, path); {
		case err == nil:
			k.told = false
			k.mu.Lock()
			then := k.written
			k.written = nil
			k.mu.Unlock()
			for _, f := range then {
				f()
			}
		case !k.told: // one message for a disk that stays full, not one for each key
			k.told = true
			k.failed(err)
		}
	})
}

// Written implements keeper.
func (k *journalKeeper) Written(f func()) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.written = append(k.written, f)
}

// Clear implements keeper.
func (k *journalKeeper) Clear() { k.do(k.journal.Clear) }

// Close ends the journal in order.
func (k *journalKeeper) Close() {
	k.do(func() {})
	k.running.Wait()
	k.journal.Close()
}

// do runs f in the worker; what was waiting to be written before is out of date and is dropped.
func (k *journalKeeper) do(f func()) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.next = f
	if k.busy {
		return
	}
	k.busy = true
	k.running.Add(1)
	go func() {
		defer k.running.Done()
		for {
			k.mu.Lock()
			f := k.next
			k.next = nil
			if f == nil {
				k.busy = false
				k.mu.Unlock()
				return
			}
			k.mu.Unlock()
			f()
		}
	}()
}

// edited reports whether there are edits, those to the demo included, that no file holds.
func (p *Presenter) edited() bool { return p.doc != nil && p.rev != p.savedRev }

// offerRecovery asks about what crashed windows left; otherwise goes on with open. It reports whether it
// asks.
func (s *shell) offerRecovery(open func()) bool {
	r, ok := s.p.desk.(recoverer)
	if !ok {
		return false
	}
	left, _ := trip.Crashed()
	if len(left) == 0 {
		return false
	}
	u := left[len(left)-1]
	name := firstOf(u.Plan.Trip.Name, u.Plan.RouteName, tr("a trip"))
	d := dialog.NewConfirm(tr("Unsaved changes were found"),
		tr("The program ended without saving “{{.Name}}”. Its last state was kept.", with("Name", name)), func(yes bool) {
			if !yes {
				open() // what was left stays and is offered again: bringing it back and not saving throws it away
				return
			}
			s.p.long(tr("Recovering"), func(ctx context.Context, rep Report) (*trip.Document, error) { return r.Recover(ctx, u, rep) })
			s.p.afterOpen = func() {
				s.p.savedRev = s.p.rev - 1 // what came back is in no file yet
				// What was left is forgotten only when this window's own journal holds it: another crash in
				// between must not find neither.
				if s.journal != nil {
					s.journal.Written(u.Forget)
				}
				s.p.changed(PlanChanged)
			}
		}, s.win)
	d.SetConfirmText(tr("Bring it back"))
	d.SetDismissText(tr("Not now"))
	s.p.present(s.win, d)
	say("asked %q", "recovery")
	return true
}
