package main

import (
	"fmt"
	"image"
	_ "image/png"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"time"
)

// window builds the program and does in its window what the tests do, then measures it; with the word speed it only
// measures.
func window(args []string) error {
	top, err := goToRoot()
	if err != nil {
		return err
	}
	if err := need(append(append(append([]string{}, buildPackages...), runPackages...), "xvfb", "xdotool", "imagemagick")...); err != nil {
		return err
	}
	binary, headless, watched := filepath.Join(top, "bin", "lastroad"), filepath.Join(top, "bin", "lastroad-headless"), filepath.Join(top, "bin", "lastroad-watched")
	if err := step("build with the window", nil, "go", "build", "-trimpath", "-tags", tags, "-o", binary, "./cmd/lastroad"); err != nil {
		return err
	}
	if err := step("build the one that says where its words stand", nil, "go", "build", "-trimpath", "-tags", tags+",watched", "-o", watched, "./cmd/lastroad"); err != nil {
		return err
	}
	if slices.Contains(args, "speed") {
		return windowSpeed(binary, watched)
	}
	if err := step("build without", []string{"CGO_ENABLED=0"}, "go", "build", "-trimpath", "-o", headless, "./cmd/lastroad"); err != nil {
		return err
	}
	if err := windowRun(binary); err != nil {
		return err
	}
	if err := windowJob(watched, headless); err != nil {
		return err
	}
	return windowSpeed(binary, watched)
}

// windowRun opens the real window on a virtual screen and looks whether something stands on it.
func windowRun(binary string) error {
	fmt.Println("\n== a real window on a virtual screen")
	home, err := os.MkdirTemp("", "lastroad-home")
	if err != nil {
		return err
	}
	defer os.RemoveAll(home)
	s, err := newScreen(1400, 900)
	if err != nil {
		return err
	}
	defer s.close()
	start := time.Now()
	p, err := s.open(binary, home, nil)
	if err != nil {
		return err
	}
	defer p.kill()
	fmt.Printf("   ready after %.1f s\n", time.Since(start).Seconds())
	time.Sleep(1500 * time.Millisecond)
	if err := s.do("key", "Escape"); err != nil { // leave the tour for newcomers
		return err
	}
	time.Sleep(time.Second)
	before := filepath.Join(home, "before.png")
	if err := s.photograph(before); err != nil {
		return err
	}
	colours, err := distinctColours(before)
	if err != nil {
		return err
	}
	if colours < 200 {
		return fmt.Errorf("the window shows only %d colours: it is blank", colours)
	}
	// Zooming over the map must change the picture.
	for _, a := range [][]string{{"mousemove", "500", "300"}, {"click", "4"}, {"click", "4"}, {"click", "4"}, {"click", "4"}} {
		if err := s.do(a...); err != nil {
			return err
		}
	}
	time.Sleep(1500 * time.Millisecond)
	after := filepath.Join(home, "after.png")
	if err := s.photograph(after); err != nil {
		return err
	}
	share, err := changed(before, after)
	if err != nil {
		return err
	}
	if share < 0.02 {
		return fmt.Errorf("zooming with the wheel changed %.1f %% of the picture, want at least 2 %%", 100*share)
	}
	fmt.Printf("   %d colours on screen; the wheel changed %.0f %% of the picture\n", colours, 100*share)
	return nil
}

func picture(file string) (image.Image, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	return img, err
}

func distinctColours(file string) (int, error) {
	img, err := picture(file)
	if err != nil {
		return 0, err
	}
	seen := map[[3]uint32]bool{}
	b := img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y += 2 {
		for x := b.Min.X; x < b.Max.X; x += 2 {
			r, g, bl, _ := img.At(x, y).RGBA()
			seen[[3]uint32{r >> 8, g >> 8, bl >> 8}] = true
		}
	}
	return len(seen), nil
}

func changed(a, b string) (float64, error) {
	p, err := picture(a)
	if err != nil {
		return 0, err
	}
	q, err := picture(b)
	if err != nil {
		return 0, err
	}
	r := p.Bounds().Intersect(q.Bounds())
	n, total := 0, 0
	for y := r.Min.Y; y < r.Max.Y; y += 2 {
		for x := r.Min.X; x < r.Max.X; x += 2 {
			r1, g1, b1, _ := p.At(x, y).RGBA()
			r2, g2, b2, _ := q.At(x, y).RGBA()
			total++
			if far(r1, r2) || far(g1, g2) || far(b1, b2) {
				n++
			}
		}
	}
	return float64(n) / float64(total), nil
}

func far(a, b uint32) bool { return max(a, b)-min(a, b) > 16<<8 }

// run installs what is missing, builds and opens the window; without a display it judges the demo and
// writes its papers and pictures instead.
func run(files []string) error {
	top, err := root()
	if err != nil {
		return err
	}
	here, err := os.Getwd()
	if err != nil {
		return err
	}
	for i, f := range files {
		if !filepath.IsAbs(f) && f != "demo" {
			files[i] = filepath.Join(here, f)
		}
	}
	if err := os.Chdir(top); err != nil {
		return err
	}
	display := runtime.GOOS != "linux" || os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != ""
	binary := filepath.Join(top, "bin", "lastroad")
	if !display {
		fmt.Println("dev: there is no display here, so no window can open; the demo is judged and its papers are written instead")
		if err := step("build without a window", []string{"CGO_ENABLED=0"}, "go", "build", "-trimpath", "-o", binary, "./cmd/lastroad"); err != nil {
			return err
		}
		if err := step("judge the demo", nil, binary, "judge", "demo"); err != nil {
			return err
		}
		out := filepath.Join(top, "out", "demo")
		if err := step("write its papers and pictures", nil, binary, "papers", "demo", "--out", out); err != nil {
			return err
		}
		fmt.Println("\ndev: the sheets and pictures are in", out)
		return nil
	}
	if err := need(append(append([]string{}, buildPackages...), runPackages...)...); err != nil {
		return err
	}
	if err := step("build (the first time takes some minutes: the window's C parts are compiled)", nil, "go", "build", "-trimpath", "-tags", tags, "-o", binary, "./cmd/lastroad"); err != nil {
		return err
	}
	cmd := exec.Command(binary, files...)
	cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
	return cmd.Run()
}
