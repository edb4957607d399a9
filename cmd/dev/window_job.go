package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// windowJob does the whole job in a real window as a person would: opens a route with its region and heights,
// chooses a leg and reads its score, changes the load, compares alone and together, writes the papers, loses the
// program to a crash and gets the last change back, saves, and meets the same file in a second window.
// binary is a build that says where its words stand, headless one that judges the same files without a window.
func windowJob(binary, headless string) (err error) {
	fmt.Println("\n== the whole job in a real window")
	start := time.Now()
	home, err := os.MkdirTemp("", "lastroad-home")
	if err != nil {
		return err
	}
	defer os.RemoveAll(home)
	files := []string{filepath.Join(home, "loop.gpx"), filepath.Join(home, "country.osm.gz"), filepath.Join(home, "S32W109.hgt.zip")}
	for i, name := range []string{"route.gpx", "region.osm.gz", "S32W109.hgt.zip"} {
		data, err := os.ReadFile(filepath.Join("assets", "demo", name))
		if err != nil {
			return err
		}
		if err := os.WriteFile(files[i], data, 0o644); err != nil {
			return err
		}
	}
	want, err := judged(headless, files)
	if err != nil {
		return err
	}
	s, err := newScreen(1400, 900)
	if err != nil {
		return err
	}
	defer s.close()
	j := &job{s: s, binary: binary, home: home}
	defer func() {
		if j.w != nil {
			j.w.crash()
		}
		if err != nil {
			err = fmt.Errorf("the job in the window, at %q: %w", j.at, err)
		}
	}()
	for _, do := range []struct {
		what string
		f    func() error
	}{
		{"open by command line", func() error { return j.open(files) }},
		{"choose a leg and read its score", func() error { return j.readLeg(want) }},
		{"change the load", func() error { return j.changeLoad("Foot or hand pump") }},
		{"compare alone and together", j.compare},
		{"write the papers", j.writePapers},
		{"crash after one more change", j.crash},
		{"get the change back", j.recover},
		{"save", j.save},
		{"the same file in a second window", j.secondWindow},
		{"quit and come back", j.comeBack},
	} {
		j.at = do.what
		t := time.Now()
		if err := do.f(); err != nil {
			return err
		}
		fmt.Printf("   %-34s %5.1f s\n", do.what, time.Since(t).Seconds())
	}
	fmt.Printf("   done in %.1f s\n", time.Since(start).Seconds())
	return nil
}

// judged is the readiness of each leg by the verb, of a route, its region and its heights.
func judged(headless string, files []string) (legs []float64, err error) {
	out, err := quiet(nil, headless, "judge", files[0], "--region", files[1], "--heights", files[2], "--json")
	if err != nil {
		return nil, fmt.Errorf("judge: %w: %s", err, tail([]byte(out), 500))
	}
	var doc struct {
		Legs []struct {
			Score struct {
				Readiness float64 `json:"readiness"`
			} `json:"score"`
		} `json:"legs"`
	}
	if i := strings.Index(out, "{"); i >= 0 {
		out = out[i:]
	}
	if err := json.Unmarshal([]byte(out), &doc); err != nil {
		return nil, fmt.Errorf("judge --json: %w", err)
	}
	for _, l := range doc.Legs {
		legs = append(legs, l.Score.Readiness)
	}
	return legs, nil
}

// job is what the steps hand on to each other.
type job struct {
	s            *screen
	w            *watched
	binary, home string
	at           string

	kinds    int    // things carried, as last said
	together string // "true" when judged with the second vehicle
	saved    string // the saved file
}

// settled is the line of a trip that is judged in full.
const settled = `^judged .*settled=true`

func (j *job) open(files []string) (err error) {
	if j.w, err = j.s.watch(j.binary, j.home, files...); err != nil {
		return err
	}
	got, err := j.w.says(`^judged readiness=([0-9.]+) .* kinds=(\d+) .*settled=true together=(\w+) name="(.*)"`)
	if err != nil {
		return err
	}
	j.kinds, _ = strconv.Atoi(got[2])
	j.together = got[3]
	_, err = j.w.says("^shown")
	return err
}

// readLeg walks to the first leg and the next one; the window and the verb must say the same of it.
func (j *job) readLeg(want []float64) error {
	for n := 0; ; n++ {
		got, err := j.w.key("ctrl+Up", `^leg n=(\d+) readiness=([0-9.]+)`)
		if err != nil {
			return err
		}
		if got[1] == "1" {
			break
		}
		if n > 200 {
			return errors.New("going back leg by leg never came to the first")
		}
	}
	got, err := j.w.key("ctrl+Down", `^leg n=(\d+) readiness=([0-9.]+)`)
	if err != nil {
		return err
	}
	if got[1] != "2" || len(want) < 2 || got[2] != fmt.Sprintf("%.1f", want[1]) {
		return fmt.Errorf("leg %s has readiness %s in the window; the verb says leg 2 has %.1f", got[1], got[2], want[1:min(2, len(want))])
	}
	_, err = j.w.see("", "^What the leg needs$") // its sheet stands at the side
	return err
}

// changeLoad carries one more thing, by its name on the Load screen.
func (j *job) changeLoad(thing string) error {
	if _, err := j.w.key("ctrl+3", "^screen 3"); err != nil {
		return err
	}
	j.w.rest()
	if err := j.w.press("^add "+thing+"$", j.w.said(fmt.Sprintf(`^judged .* kinds=%d .*unsaved=true settled=true`, j.kinds+1))); err != nil {
		return err
	}
	j.kinds++
	return nil
}

func (j *job) compare() error {
	if _, err := j.w.key("ctrl+4", "^screen 4"); err != nil {
		return err
	}
	if _, err := j.w.see("text", "^The answer$"); err != nil {
		return err
	}
	// Shown as a share of samples, the certainty stands only in the full answer.
	_, err := j.w.see("text", `in \d+ % of the samples|of the samples`)
	return err
}

func (j *job) writePapers() error {
	if _, err := j.w.key("ctrl+5", "^screen 5"); err != nil {
		return err
	}
	written := func() bool {
		j.w.mu.Lock()
		defer j.w.mu.Unlock()
		for _, p := range j.w.places {
			if strings.Contains(p.text, " papers are in ") {
				return true
			}
		}
		return false
	}
	if err := j.w.press("^Write the papers$", written); err != nil {
		return err
	}
	entries, err := os.ReadDir(filepath.Join(j.home, "lastroad-papers"))
	if err != nil {
		return err
	}
	for _, e := range entries {
		if st, err := e.Info(); err != nil || st.Size() < 50 {
			return fmt.Errorf("the paper %s is empty (%v)", e.Name(), err)
		}
	}
	if len(entries) < 10 {
		return fmt.Errorf("only %d papers were written", len(entries))
	}
	return nil
}

// crash makes one more change, gives it the second that may be lost, and kills the window.
func (j *job) crash() error {
	if err := j.changeLoad("Tyre levers and bead breaker"); err != nil {
		return err
	}
	time.Sleep(time.Second)
	j.w.crash()
	return nil
}

func (j *job) recover() (err error) {
	if j.w, err = j.s.watch(j.binary, j.home); err != nil {
		return err
	}
	if _, err := j.w.says(`^asked "recovery"`); err != nil {
		return err
	}
	return j.w.press("^Bring it back$", j.w.said(fmt.Sprintf(`^judged .* kinds=%d unsaved=true settled=true`, j.kinds)))
}

func (j *job) save() error {
	if err := j.s.do("key", "--clearmodifiers", "ctrl+s"); err != nil {
		return err
	}
	j.w.rest()
	if err := j.w.press("^Save$", j.w.said(`^judged .* unsaved=false `)); err != nil {
		return err
	}
	found, err := filepath.Glob(filepath.Join(j.home, "*.trip"))
	if err != nil || len(found) != 1 {
		return fmt.Errorf("saving left %d trips in %s (%v)", len(found), j.home, err)
	}
	j.saved = found[0]
	return nil
}

func (j *job) secondWindow() error {
	second, err := j.s.watch(j.binary, j.home, j.saved)
	if err != nil {
		return err
	}
	defer second.crash()
	if _, err := second.says(`^asked "open in another window"`); err != nil {
		return err
	}
	_, err = second.see("text", "can only be saved under another name")
	return err
}

// comeBack quits in order and opens the file again: it holds the change, no recovery is offered, and the window
// is as large as it was.
func (j *job) comeBack() (err error) {
	const width, height = 1110, 705
	if err := j.s.do("search", "--onlyvisible", "--name", "Lastroad", "windowsize", strconv.Itoa(width), strconv.Itoa(height)); err != nil {
		return err
	}
	if err := j.w.until("the window's new size", func() bool { w, h := j.s.size(); return w == width && h == height }); err != nil {
		return err
	}
	time.Sleep(300 * time.Millisecond) // for the window itself to hear of it
	if err := j.s.do("key", "--clearmodifiers", "ctrl+q"); err != nil {
		return err
	}
	select {
	case err := <-j.w.ended:
		j.w.ended <- err
		if err != nil {
			return fmt.Errorf("quitting: %w", err)
		}
	case <-time.After(patience):
		return errors.New("the window did not close")
	}
	if j.w, err = j.s.watch(j.binary, j.home, j.saved); err != nil {
		return err
	}
	if _, err := j.w.says(fmt.Sprintf(`^judged .* kinds=%d unsaved=false settled=true`, j.kinds)); err != nil {
		return err
	}
	if w, h := j.s.size(); w != width || h != height {
		return fmt.Errorf("the window was left %d x %d and comes back %d x %d", width, height, w, h)
	}
	return nil
}

// size is that of the window on the screen, 0 when there is none.
func (s *screen) size() (w, h int) {
	out, err := quiet([]string{"DISPLAY=" + s.display}, "xdotool", "search", "--onlyvisible", "--name", "Lastroad", "getwindowgeometry", "--shell")
	if err != nil {
		return 0, 0
	}
	for _, line := range strings.Fields(out) {
		fmt.Sscanf(line, "WIDTH=%d", &w)
		fmt.Sscanf(line, "HEIGHT=%d", &h)
	}
	return w, h
}
