package main

import (
	"fmt"
	"os"
	"path/filepath"
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
	binary := filepath.Join(top, "bin", "lastroad")
	if err := step("build", nil, "go", "build", "-trimpath", "-tags", tags, "-o", binary, "./cmd/lastroad"); err != nil {
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
	p, err := s.open(binary, home, []string{"FYNE_THEME=" + variant, "FYNE_SCALE=" + scale})
	if err != nil {
		return err
	}
	defer p.kill()
	// There is no window manager: make the window as large as the screen.
	if err := s.do("search", "--onlyvisible", "--name", "Lastroad", "windowsize", fmt.Sprint(width), fmt.Sprint(height), "windowmove", "0", "0"); err != nil {
		return err
	}
	time.Sleep(4 * time.Second)
	// A first start shows newcomers round: leave that by its button, which stands low in the middle.
	for _, x := range []string{"mousemove " + fmt.Sprint(width*39/100) + " " + fmt.Sprint(height*928/1000), "click 1"} {
		if err := s.do(strings.Fields(x)...); err != nil {
			return err
		}
	}
	time.Sleep(500 * time.Millisecond)
	for i, screen := range []string{"route", "party", "load", "together", "papers"} {
		if err := s.do("key", "--clearmodifiers", fmt.Sprintf("ctrl+%d", i+1)); err != nil {
			return err
		}
		if screen == "route" {
			for range 5 {
				if err := s.do("key", "--clearmodifiers", "ctrl+Down"); err != nil {
					return err
				}
			}
		}
		if screen == "papers" && name == "" {
			continue // it shows a folder of the machine that took the picture
		}
		time.Sleep(2500 * time.Millisecond)
		file := filepath.Join(out, screen+"-"+variant+name+".png")
		if err := s.photograph(file); err != nil {
			return err
		}
		fmt.Println("  ", file)
	}
	return nil
}
