package window

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2/test"

	"lastroad/app/trip"
	"lastroad/assets"
)

// repeats is how often a test that looks for leaks repeats: few times in the suite, all with LASTROAD_LONG.
func repeats(few, all int) int {
	if os.Getenv("LASTROAD_LONG") != "" {
		return all
	}
	return few
}

// bare is a window's presenter without its widgets: the toolkit lets go of widgets that are not shown any more
// only while a real screen is painted, and what it holds is not ours.
type bare struct {
	t     *testing.T
	p     *Presenter
	mu    sync.Mutex
	queue []func()
}

func newBare(t *testing.T) *bare {
	test.NewTempApp(t)
	u := &bare{t: t}
	u.p = NewPresenter(realDesk(), func(f func()) { u.mu.Lock(); u.queue = append(u.queue, f); u.mu.Unlock() })
	u.p.tell = func(title string, err error) { t.Errorf("%s: %v", title, err) }
	return u
}

// settle waits for all workers and runs what they handed back, until nothing more comes.
func (u *bare) settle() {
	for {
		u.p.Wait()
		u.mu.Lock()
		q := u.queue
		u.queue = nil
		u.mu.Unlock()
		if len(q) == 0 {
			return
		}
		for _, f := range q {
			f()
		}
	}
}

// held is what is alive in memory and how many goroutines run, when all is at rest.
func (u *bare) held() (bytes uint64, goroutines int) {
	u.settle()
	least := math.MaxInt
	for range 20 { // a goroutine that is ending needs a moment
		least = min(least, runtime.NumGoroutine())
		time.Sleep(5 * time.Millisecond)
	}
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc, least
}

// steadily does the same thing n times; the memory after the last must be that after the tenth within a tenth,
// and no goroutine may be left over.
func (u *bare) steadily(what string, n int, do func(i int)) {
	u.t.Helper()
	var tenth uint64
	var runs int
	for i := range n {
		do(i)
		u.settle()
		if i == 9 {
			tenth, runs = u.held()
		}
	}
	last, now := u.held()
	u.t.Logf("%s: %.1f MB after the tenth, %.1f MB after %d; %d goroutines, then %d", what, float64(tenth)/1e6, float64(last)/1e6, n, runs, now)
	if float64(last) > 1.1*float64(tenth) {
		u.t.Errorf("%s: %.1f MB are alive after the tenth and %.1f MB after %d", what, float64(tenth)/1e6, float64(last)/1e6, n)
	}
	if now > runs {
		u.t.Errorf("%s: %d goroutines run after the tenth and %d after %d", what, runs, now, n)
	}
}

// Judging again and again, and opening one route after another, ends where it began.
func TestNothingIsHeldForEver(t *testing.T) {
	t.Setenv("LASTROAD_STATE", t.TempDir())
	t.Setenv("LASTROAD_CACHE", t.TempDir())
	u := newBare(t)
	u.p.OpenDemo()
	u.settle()
	u.steadily("judging again", repeats(60, 1000), func(i int) {
		u.p.Edit("water", "", func(pl *trip.Plan) { pl.Trip.Party.Load[i%5].Count = float64(1 + i%7) })
	})
	for range 20 {
		u.p.Undo()
		u.settle()
	}
	if j := u.p.Judgement(); j == nil || u.p.Stale() {
		t.Error("after going back twenty steps nothing is judged")
	}

	dir := t.TempDir()
	var files [2]string
	for i := range files {
		var b bytes.Buffer
		b.WriteString("<gpx version=\"1.1\"><trk><trkseg>\n")
		d, err := realDesk().Demo(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range d.Route.Line[40*i : 40*i+40] {
			fmt.Fprintf(&b, "<trkpt lat=\"%.7f\" lon=\"%.7f\"/>\n", p[1], p[0])
		}
		b.WriteString("</trkseg></trk></gpx>\n")
		files[i] = filepath.Join(dir, fmt.Sprintf("route%d.gpx", i))
		if err := os.WriteFile(files[i], b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	region := filepath.Join(dir, "country.osm.gz")
	if err := os.WriteFile(region, assets.Demo("region.osm.gz"), 0o600); err != nil {
		t.Fatal(err)
	}
	u.steadily("opening routes", repeats(14, 200), func(i int) { u.p.OpenFiles([]string{files[i%2], region}) })
}
