package window

import (
	"errors"
	"reflect"
	"slices"

	"lastroad/app/trip"
)

// logStep is one change of the user's log: its drives before and after.
type logStep struct{ before, after []trip.Drive }

// logHistory are the changes made to the log in this window, for as long as it is open. What a trip is judged with
// belongs to the trip and its own undo.
type logHistory struct{ past, undone []logStep }

// change changes the log on disk, whole or not at all, and shows it.
func (d *drives) change(f func(*trip.UserLog) error) error {
	before, err := d.write(f)
	if err != nil {
		return err
	}
	if h := &d.s.logged; !reflect.DeepEqual(before, d.log.Drives) {
		*h = logHistory{past: append(h.past, logStep{before, d.log.Drives})}
	}
	d.took = false
	d.show()
	return nil
}

// write changes the log on disk, reads it back and gives the drives it held before.
func (d *drives) write(f func(*trip.UserLog) error) (before []trip.Drive, err error) {
	if _, err = trip.ChangeLog(func(l *trip.UserLog) error {
		before = slices.Clone(l.Drives)
		return f(l)
	}); err != nil {
		return nil, err
	}
	d.log, err = trip.ReadLog()
	return before, err
}

// undo takes back the last thing done in the sheet, redo does it again.
func (d *drives) undo() {
	if d.tookLast() {
		d.took = false
		d.s.p.Undo()
		d.show()
		return
	}
	d.move(&d.s.logged.past, &d.s.logged.undone, func(st logStep) (from, to []trip.Drive) { return st.after, st.before })
}

func (d *drives) redo() {
	d.move(&d.s.logged.undone, &d.s.logged.past, func(st logStep) (from, to []trip.Drive) { return st.before, st.after })
}

// move takes the last step of one list over to the other. A log that another window has changed meanwhile is left
// as it is.
func (d *drives) move(list, other *[]logStep, way func(logStep) (from, to []trip.Drive)) {
	n := len(*list)
	if n == 0 {
		return
	}
	st := (*list)[n-1]
	from, to := way(st)
	_, err := d.write(func(l *trip.UserLog) error {
		if !reflect.DeepEqual(l.Drives, from) {
			return errors.New(tr("The log was changed elsewhere meanwhile, so nothing was taken back."))
		}
		l.Drives = slices.Clone(to)
		return nil
	})
	if err != nil {
		d.s.showError(tr("Your log"), err)
		return
	}
	*list, *other = (*list)[:n-1], append(*other, st)
	d.show()
}

// tookLast reports whether the last thing done was to judge the trip with the log or without.
func (d *drives) tookLast() bool { return d.took && d.s.p.rev == d.tookRev }

func (d *drives) canUndo() bool { return d.tookLast() || len(d.s.logged.past) > 0 }
func (d *drives) canRedo() bool { return len(d.s.logged.undone) > 0 }

// logOnTop is the sheet of the log while nothing lies above it, nil otherwise: undo and redo then go to the log.
func (s *shell) logOnTop() *drives {
	if d := s.drives; d != nil && s.win.Canvas().Overlays().Top() == d.sheet {
		return d
	}
	return nil
}
