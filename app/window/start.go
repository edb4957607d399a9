package window

import (
	"os"
	"sync"
	"time"

	"fyne.io/fyne/v2"
)

// The size of a first window, and the least one, in units.
const (
	firstWidth, firstHeight = 1280, 780
	leastWidth, leastHeight = 900, 620
)

// screenArea is what the screen has room for, in its own measure, zero when that is not known; screenScale what the
// system asks a unit to be drawn at, which the toolkit or the user may know better.
var (
	screenArea  fyne.Size
	screenScale float32 = 1
)

// titleBar is the height that a system's frame takes above the window, in units; common practice.
const titleBar = 32

// roomOn is what an area has room for at a scale, in units, below a title bar; nothing when the area is not known.
func roomOn(area fyne.Size, scale float32) fyne.Size {
	if !(area.Width > 0 && area.Height > 0 && scale > 0) {
		return fyne.Size{}
	}
	return fyne.NewSize(area.Width/scale, area.Height/scale-titleBar)
}

// fitScreen makes the window smaller when it opened larger than the screen, as with a scale of the user's own, which is
// known only now.
func fitScreen(win fyne.Window) {
	size := win.Canvas().Size()
	if fits := sizeOn(size, roomOn(screenArea, win.Canvas().Scale())); fits.Width < size.Width || fits.Height < size.Height {
		win.Resize(fits)
	}
}

// sizeOn is the size for a window that was asked to be want, on a screen with that much room: never cut where it can be
// helped, never less than the least.
func sizeOn(want, room fyne.Size) fyne.Size {
	most := fyne.NewSize(4000, 3000)
	if room.Width > 0 && room.Height > 0 {
		most = most.Min(room)
	}
	return want.Min(most).Max(fyne.NewSize(leastWidth, leastHeight))
}

// open builds the window of an app and shows it; files are opened, or the demo when there are none.
func open(app fyne.App, desk Desk, files []string) fyne.Window {
	pref := app.Preferences()
	win := app.NewWindow("Lastroad")
	p := NewPresenter(desk, fyne.Do)
	p.headStart = 250 * time.Millisecond
	p.settings = readSettings(pref)
	app.Settings().SetTheme(newLook(p.settings))
	s := newShell(p, win, pref)
	now := p.settings
	s.applied, s.wasDark = &now, palette().Dark
	w, h := float32(pref.FloatWithFallback(prefWidth, firstWidth)), float32(pref.FloatWithFallback(prefHeight, firstHeight))
	win.Resize(sizeOn(fyne.NewSize(w, h), roomOn(screenArea, screenScale)))
	win.SetMaster()
	s.tellOutside()
	held := s.holdFile()
	// The start is over when the first document is judged in full: an arriving one is not yet, though nobody judges it yet.
	var atWork sync.Once
	p.Watch(func(c Change) {
		if c&WorkChanged != 0 && p.doc != nil && p.judging == nil && p.work == nil {
			atWork.Do(func() {
				memoryAtWork()
				s.buildLater()
			})
		}
	})
	keep, err := newJournalKeeper(func(err error) {
		p.post(func() { s.showError(tr("Changes cannot be kept against a crash"), err) })
	})
	if err == nil {
		s.journal = keep
	}
	// The system may turn from light to dark by itself.
	app.Settings().AddListener(func(fyne.Settings) {
		if dark := palette().Dark; dark != s.wasDark {
			s.wasDark = dark
			p.changed(SettingsChanged)
		}
	})
	s.leave = func() {
		size := win.Canvas().Size()
		pref.SetFloat(prefWidth, float64(size.Width))
		pref.SetFloat(prefHeight, float64(size.Height))
		s.unlessUnsaved(tr("Quit?"), func() {
			p.Cancel()
			p.stopJudging()
			held.release()
			if keep != nil {
				keep.Close()
			}
			win.SetCloseIntercept(nil)
			win.Close()
		})
	}
	win.SetCloseIntercept(s.leave)
	app.Lifecycle().SetOnStarted(func() {
		fitScreen(win)
		first := p.OpenDemo
		if len(files) > 0 {
			first = func() { s.openPaths(files) }
		}
		if !s.offerRecovery(first) {
			first()
		}
		if !pref.Bool(prefSeen) && len(files) == 0 && os.Getenv("LASTROAD_TOUR") != "0" {
			s.tour.show(0)
		}
		say("ready")
	})
	return win
}
