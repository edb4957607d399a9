package window

import (
	"fyne.io/fyne/v2/dialog"

	"lastroad/app/trip"
)

// heldFile keeps the lock of the file that the window shows, for as long as it shows it, so that a second
// window on the same file can tell.
type heldFile struct {
	path   string
	lock   *trip.Lock
	warned bool // of path being open elsewhere
}

// follow holds the lock of path ("" for none) and gives back that of another file. It reports false when
// another window has the file; it is then tried again at the next call. A lock that cannot be taken for
// another reason (a state folder that may not be written) is no reason to warn.
func (h *heldFile) follow(path string) (ours bool) {
	if path != h.path {
		h.release()
		h.path, h.warned = path, false
	}
	if path == "" || h.lock != nil {
		return true
	}
	lock, ok, err := trip.LockFile(path)
	if err != nil {
		return true
	}
	h.lock = lock
	return ok
}

func (h *heldFile) release() {
	h.lock.Release()
	h.lock = nil
}

// holdFile locks the open file for this window and says so when another one has it. What is changed here can
// then be saved under another name only, until the other window has closed the file.
func (s *shell) holdFile() *heldFile {
	h := &heldFile{}
	s.p.Watch(func(c Change) {
		if c&DocChanged == 0 || s.p.doc == nil {
			return
		}
		path := s.p.doc.Path
		if s.p.doc.Demo {
			path = ""
		}
		if !h.follow(path) && !h.warned {
			h.warned = true
			d := dialog.NewInformation(tr("Open in another window"), tr("“{{.Name}}” is open in another window. You can look at it and change it here, but it can only be saved under another name while the other window has it.", with("Name", baseName(path))), s.win)
			d.SetDismissText(tr("I see"))
			s.p.present(s.win, d)
			say("asked %q", "open in another window")
		}
	})
	return h
}
