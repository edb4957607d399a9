package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// Only the Route screen stands on the first picture; while a head start is given to it, the other screens are
// built when they are first shown, or when the start is over.

// laterScreen is the place of a screen, built now or later.
func (s *shell) laterScreen(screen int, build func() fyne.CanvasObject) fyne.CanvasObject {
	place := container.NewStack()
	made := false
	do := func() {
		if made {
			return
		}
		made = true
		n := len(s.p.subs)
		place.Add(build())
		for _, f := range s.p.subs[n:] { // what changed before it was there
			f(^Change(0))
		}
	}
	if s.p.headStart <= 0 {
		made = true
		place.Add(build())
		return place
	}
	if s.later == nil {
		s.later = map[int]func(){}
	}
	s.later[screen] = do
	return place
}

// needScreen builds a screen that is wanted now.
func (s *shell) needScreen(screen int) {
	if do := s.later[screen]; do != nil {
		delete(s.later, screen)
		do()
	}
}

// buildLater builds the screens that were not wanted yet, one at a time, so that none of them holds a frame for
// long.
func (s *shell) buildLater() {
	for screen := screenRoute; screen <= screenBench; screen++ {
		s.p.post(func() { s.needScreen(screen) })
	}
}
