package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"
)

// shots opens the demo in a real window on a virtual screen and photographs its screens, in dark and light
// colours, into assets/shots (the README shows some of them). Another folder may be named; --all takes every
// screen also at double density and narrow.
func shots(args []string) error {
	top, err := root()
	if err != nil {
		return err
	}
	out, all := filepath.Join(top, "assets", "shots"), false
	for _, a := range args {
		if a == "--all" {
			all = true
		} else {
			out = a
		}
	}
	if out, err = filepath.Abs(out); err != nil {
		return err
	}
	if err := os.Chdir(top); err != nil {
		return err
	}
	if err := need(append(append(append([]string{}, buildPackages...), runPackages...), "xvfb", "xdotool", "imagemagick")...); err != nil {
		return err
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	// One that says which words stand on its screen, so that no picture is taken of what is still being worked out.
	binary := filepath.Join(top, "bin", "lastroad-watched")
	if err := step("build", nil, "go", "build", "-trimpath", "-tags", tags+",watched", "-o", binary, "./cmd/lastroad"); err != nil {
		return err
	}
	type setting struct {
		name          string
		width, height int
		scale         string
	}
	settings := []setting{{"", 1400, 900, "1"}}
	if all {
		settings = append(settings, setting{"-narrow", 1024, 700, "1"}, setting{"-dense", 2800, 1800, "2"})
	}
	for _, st := range settings {
		for _, variant := range []string{"light", "dark"} {
			if err := photographAll(binary, out, st.name, variant, st.width, st.height, st.scale); err != nil {
				return err
			}
		}
	}
	return nil
}

func photographAll(binary, out, name, variant string, width, height int, scale string) error {
	home, err := os.MkdirTemp("", "lastroad-home")
	if err != nil {
		return err
	}
	defer os.RemoveAll(home)
	s, err := newScreen(width, height)
	if err != nil {
		return err
	}
	defer s.close()
	w, err := s.watchIn(binary, home, variant, scale)
	if err != nil {
		return err
	}
	defer w.crash()
	if _, err := w.says("^ready"); err != nil {
		return err
	}
	if _, err := w.says("^shown"); err != nil {
		return err
	}
	// There is no window manager: make the window as large as the screen.
	if err := s.do("search", "--onlyvisible", "--name", "Lastroad", "windowsize", fmt.Sprint(width), fmt.Sprint(height), "windowmove", "0", "0"); err != nil {
		return err
	}
	last := filepath.Join(home, "last.png")
	err = s.photographSteady(last, func() bool {
		n, err := distinctColours(last)
		return err == nil && n > 400 // the demo's map and strip stand there
	})
	if err != nil {
		return err
	}
	// Judged in full, the window has chosen the leg that stands worst by itself.
	if err := w.until("the full judgement", func() bool {
		line, ok := w.last("judged ")
		return ok && strings.Contains(line, "settled=true")
	}); err != nil {
		return err
	}
	for i, screen := range []string{"route", "party", "load", "together", "papers", "bench"} {
		key := fmt.Sprintf("ctrl+%d", i+1)
		if screen == "bench" {
			key = "ctrl+b" // with the chosen leg's recovery on it
		}
		if i > 0 {
			if _, err := w.key(key, fmt.Sprintf("^screen %d$", i+1)); err != nil {
				return err
			}
		}
		if screen == "papers" && name == "" {
			continue // it shows a folder of the machine that took the picture
		}
		if err := w.finished(); err != nil {
			return err
		}
		file := filepath.Join(out, screen+"-"+variant+name+".png")
		err := s.photographSteady(file, func() bool {
			share, err := changed(last, file)
			// Another screen than the last one, and on a busy machine no word has come late.
			return err == nil && (i == 0 || share > 0.02) && !w.working()
		})
		if err != nil {
			return err
		}
		last = file
		fmt.Println("  ", file)
	}
	return nil
}

// unfinished are the words that stand where an answer will be.
var unfinished = regexp.MustCompile(`(?i)being (worked out|made)`)

// finished waits until nothing on the screen is still being worked out.
func (w *watched) finished() error {
	time.Sleep(time.Second) // the words of a new screen are said a little after it is shown
	return w.until("the end of what is being worked out", func() bool { return !w.working() })
}

// working tells that something on the screen is still being worked out.
func (w *watched) working() bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	var words []string // a wrapped sentence is said line by line
	for _, p := range w.places {
		words = append(words, p.text)
	}
	return unfinished.MatchString(strings.Join(words, " "))
}

// photographSteady photographs until two pictures in a row are the same and fit; a slow machine takes its time.
func (s *screen) photographSteady(file string, fits func() bool) error {
	before := file + ".before"
	defer os.Remove(before)
	for end := time.Now().Add(3 * patience); time.Now().Before(end); {
		if err := s.photograph("png:" + before); err != nil {
			return err
		}
		time.Sleep(2 * time.Second)
		if err := s.photograph(file); err != nil {
			return err
		}
		if share, err := changed(before, file); err == nil && share == 0 && fits() {
			return nil
		}
	}
	return fmt.Errorf("the picture %s did not come to rest", filepath.Base(file))
}
