package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"
)

// patience is how long anything in the window may take before it counts as never coming, on the slowest machine.
const patience = 60 * time.Second

// watched is a running window that says what happens in it and where its words stand.
type watched struct {
	s   *screen
	cmd *exec.Cmd

	mu     sync.Mutex
	lines  []string // said so far, without the places
	from   int      // the first line not waited for yet
	places []place
	errs   bytes.Buffer
	ended  chan error
}

// place is a text of the window with its middle in pixels.
type place struct {
	kind string // text, button, off (a button that cannot be pressed), field, check
	x, y int
	text string
}

// watch starts a window built with the tag watched, in light colours.
func (s *screen) watch(binary, home string, args ...string) (*watched, error) {
	return s.watchIn(binary, home, "light", "1", args...)
}

// watchIn starts one in the colours of a variant, light or dark, and at a density.
func (s *screen) watchIn(binary, home, variant, scale string, args ...string) (*watched, error) {
	w := &watched{s: s, ended: make(chan error, 1)}
	w.cmd = exec.Command(binary, args...)
	w.cmd.Env = append(append(os.Environ(), s.env(home)...), "LASTROAD_TOUR=0", "FYNE_SCALE="+scale, "FYNE_THEME="+variant)
	w.cmd.Stderr = &w.errs
	pipe, err := w.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := w.cmd.Start(); err != nil {
		return nil, err
	}
	go func() {
		in := bufio.NewScanner(pipe)
		in.Buffer(nil, 4<<20)
		var block []place
		inside := false
		for in.Scan() {
			line := in.Text()
			switch {
			case line == "places":
				inside, block = true, nil
			case line == "placed":
				w.mu.Lock()
				w.places = block
				w.mu.Unlock()
				inside = false
			case inside && asPlace(line, &block):
			default:
				w.mu.Lock()
				w.lines = append(w.lines, line)
				w.mu.Unlock()
			}
		}
		w.ended <- w.cmd.Wait()
	}()
	return w, nil
}

// asPlace reads a line of the form: kind x y "text".
func asPlace(line string, into *[]place) bool {
	f := strings.SplitN(line, " ", 4)
	if len(f) != 4 {
		return false
	}
	x, err1 := strconv.Atoi(f[1])
	y, err2 := strconv.Atoi(f[2])
	text, err3 := strconv.Unquote(f[3])
	if err1 != nil || err2 != nil || err3 != nil {
		return false
	}
	*into = append(*into, place{f[0], x, y, text})
	return true
}

// until asks is again and again until it holds, for as long as patience lasts. what says what is waited for.
func (w *watched) until(what string, is func() bool) error {
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		if is() {
			return nil
		}
		select {
		case err := <-w.ended:
			w.ended <- err
			return fmt.Errorf("the window ended (%v) while waiting for %s: %s", err, what, tail(w.errs.Bytes(), 1000))
		default:
		}
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	said := strings.Join(w.lines[max(0, len(w.lines)-12):], "\n   ")
	var seen []string
	for _, p := range w.places {
		seen = append(seen, p.text)
	}
	return fmt.Errorf("%s did not come in %.0f s; last said:\n   %s\nto be read: %s", what, patience.Seconds(), said, tail([]byte(strings.Join(seen, " | ")), 1500))
}

// says waits for a line, among those not waited for yet, that fits a pattern, and gives what its groups hold.
func (w *watched) says(pattern string) (groups []string, err error) {
	re := regexp.MustCompile(pattern)
	err = w.until("a line like "+pattern, func() bool {
		w.mu.Lock()
		defer w.mu.Unlock()
		for i := w.from; i < len(w.lines); i++ {
			if groups = re.FindStringSubmatch(w.lines[i]); groups != nil {
				w.from = i + 1
				return true
			}
		}
		return false
	})
	return groups, err
}

// last is the latest line with a beginning.
func (w *watched) last(beginning string) (line string, ok bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for i := len(w.lines) - 1; i >= 0; i-- {
		if strings.HasPrefix(w.lines[i], beginning) {
			return w.lines[i], true
		}
	}
	return "", false
}

// rest passes over all lines said so far.
func (w *watched) rest() {
	w.mu.Lock()
	w.from = len(w.lines)
	w.mu.Unlock()
}

// see waits for a text of a kind ("" for any) that fits a pattern.
func (w *watched) see(kind, pattern string) (at place, err error) {
	re := regexp.MustCompile(pattern)
	err = w.until(fmt.Sprintf("%s %q on the screen", kind, pattern), func() bool {
		w.mu.Lock()
		defer w.mu.Unlock()
		for _, p := range w.places {
			if (kind == "" || p.kind == kind) && re.MatchString(p.text) {
				at = p
				return true
			}
		}
		return false
	})
	return at, err
}

// press clicks a button by its words, and clicks again, should the click have been lost, until done holds. A
// button that has gone is not clicked twice.
func (w *watched) press(pattern string, done func() bool) error {
	if _, err := w.see("button", pattern); err != nil {
		return err
	}
	re := regexp.MustCompile(pattern)
	var last time.Time
	var fault error
	err := w.until("the effect of the button "+pattern, func() bool {
		if fault != nil || done() {
			return true
		}
		if time.Since(last) < 4*time.Second {
			return false
		}
		w.mu.Lock()
		var at *place
		for i := range w.places {
			if w.places[i].kind == "button" && re.MatchString(w.places[i].text) {
				at = &w.places[i]
				break
			}
		}
		w.mu.Unlock()
		if at != nil {
			last = time.Now()
			fault = w.s.do("mousemove", strconv.Itoa(at.x), strconv.Itoa(at.y), "click", "1")
		}
		return false
	})
	return errors.Join(fault, err)
}

// said reports whether a line that was not waited for yet fits, and passes over the lines up to it.
func (w *watched) said(pattern string) func() bool {
	re := regexp.MustCompile(pattern)
	return func() bool {
		w.mu.Lock()
		defer w.mu.Unlock()
		for i := w.from; i < len(w.lines); i++ {
			if re.MatchString(w.lines[i]) {
				w.from = i + 1
				return true
			}
		}
		return false
	}
}

// key presses keys and waits for a line that fits.
func (w *watched) key(keys, pattern string) ([]string, error) {
	w.rest()
	if err := w.s.do("key", "--clearmodifiers", keys); err != nil {
		return nil, err
	}
	return w.says(pattern)
}

// crash ends the window as kill -9 does.
func (w *watched) crash() {
	w.cmd.Process.Kill()
	err := <-w.ended
	w.ended <- err
}
