package main

import (
	"fmt"
	"strings"
	"time"
)

// race runs every test under the race detector, package by package, the window's last. It takes several times as
// long as the plain tests, too long for each change: run it before a release and after work on goroutines. The tests run
// short (a hundred random trips where there are 3000): the detector needs every path once, not every draw.
func race(args []string) error {
	if _, err := goToRoot(); err != nil {
		return err
	}
	if err := need(append(append(append([]string{}, buildPackages...), runPackages...), testPackages...)...); err != nil {
		return err
	}
	if len(args) == 0 {
		args = []string{"./..."}
	}
	out, err := quiet(nil, "go", append([]string{"list", "-tags", tags}, args...)...)
	if err != nil {
		return fmt.Errorf("go list: %w: %s", err, out)
	}
	var early, late []string
	for _, p := range strings.Fields(out) {
		if strings.HasPrefix(p, "lastroad/app/window") {
			late = append(late, p)
		} else {
			early = append(early, p)
		}
	}
	var failed []string
	start := time.Now()
	for _, p := range append(early, late...) {
		if err := step("race "+p, []string{"CGO_ENABLED=1", "LANG=en_US.UTF-8", "RAPID_SEED=20261125"}, "go", "test", "-race", "-short", "-tags", tags, "-timeout", "30m", p); err != nil {
			fmt.Println("dev:", err)
			failed = append(failed, p)
		}
	}
	if len(failed) > 0 {
		return fmt.Errorf("races or failures in %s", strings.Join(failed, ", "))
	}
	fmt.Printf("\nno race in %d packages, %.0f s\n", len(early)+len(late), time.Since(start).Seconds())
	return nil
}
