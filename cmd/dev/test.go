package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
)

const tags = "migrated_fynedo"

// test installs what tests need and runs all of them; the first failure ends it.
func test([]string) error {
	top, err := goToRoot()
	if err != nil {
		return err
	}
	start := time.Now()
	if err := need(append(append(append([]string{}, buildPackages...), runPackages...), testPackages...)...); err != nil {
		return err
	}
	if err := formatted(); err != nil {
		return err
	}
	bin := filepath.Join(top, "bin")
	if err := os.MkdirAll(bin, 0o755); err != nil {
		return err
	}
	headless := filepath.Join(bin, "lastroad-headless")
	for _, s := range []struct {
		title string
		env   []string
		args  []string
	}{
		{"vet", nil, []string{"vet", "-tags", tags, "./..."}},
		{"build without cgo: every verb, no window", []string{"CGO_ENABLED=0"}, []string{"build", "-trimpath", "-o", headless, "./cmd/lastroad"}},
		{"build without cgo for Windows", []string{"CGO_ENABLED=0", "GOOS=windows", "GOARCH=amd64"}, []string{"build", "-trimpath", "-o", filepath.Join(bin, "lastroad-headless.exe"), "./cmd/lastroad"}},
		{"build without cgo for macOS", []string{"CGO_ENABLED=0", "GOOS=darwin", "GOARCH=arm64"}, []string{"build", "-trimpath", "-o", filepath.Join(bin, "lastroad-headless-darwin"), "./cmd/lastroad"}},
		{"build with the window", nil, []string{"build", "-trimpath", "-tags", tags, "-o", filepath.Join(bin, "lastroad"), "./cmd/lastroad"}},
		{"build the one that says where its words stand", nil, []string{"build", "-trimpath", "-tags", tags + ",watched", "-o", filepath.Join(bin, "lastroad-watched"), "./cmd/lastroad"}},
		// RAPID_SEED keeps the property tests to the same draws on each run; seed 0 of the flag -rapid.seed draws new ones.
		{"tests", []string{"LANG=en_US.UTF-8", "RAPID_SEED=20261125"}, []string{"test", "-tags", tags, "-timeout", "15m", "./..."}},
	} {
		if err := step(s.title, s.env, "go", s.args...); err != nil {
			return err
		}
	}
	if err := buildsAgain(); err != nil {
		return err
	}
	if err := headlessRun(headless); err != nil {
		return err
	}
	if err := windowRun(filepath.Join(bin, "lastroad")); err != nil {
		return err
	}
	if err := windowJob(filepath.Join(bin, "lastroad-watched"), headless); err != nil {
		return err
	}
	if err := noNetwork(headless, filepath.Join(bin, "lastroad")); err != nil {
		return err
	}
	fmt.Printf("\nall passed in %.0f s\n", time.Since(start).Seconds())
	return nil
}

// formatted fails when a Go file is not as gofmt writes it.
func formatted() error {
	fmt.Println("\n== format")
	out, err := quiet(nil, "gofmt", "-l", "app", "assets", "cmd", "geo", "risk")
	if err != nil {
		return fmt.Errorf("gofmt: %w: %s", err, out)
	}
	if out = strings.TrimSpace(out); out != "" {
		return fmt.Errorf("not as gofmt writes it: %s", strings.ReplaceAll(out, "\n", " "))
	}
	return nil
}

// headlessRun uses the build without a window as a person would.
func headlessRun(binary string) error {
	fmt.Println("\n== the build without a window, used")
	a, err := quiet(nil, binary, "judge", "demo", "--json")
	if err != nil {
		return fmt.Errorf("judge demo --json: %w: %s", err, tail([]byte(a), 500))
	}
	b, err := quiet(nil, binary, "judge", "demo", "--json")
	if err != nil || a != b {
		return fmt.Errorf("judging the demo twice gave different bytes (or failed: %v)", err)
	}
	if !strings.Contains(a, `"schema": 1`) || !strings.Contains(a, `"readiness"`) {
		return fmt.Errorf("judge demo --json wrote no judged trip: %s", tail([]byte(a), 300))
	}
	out, err := quiet(nil, binary)
	if err == nil || strings.Count(strings.TrimSpace(out), "\n") != 0 || !strings.Contains(out, "no window") {
		return fmt.Errorf("the build without a window should say so in one line and fail, it said: %q", out)
	}
	fmt.Println("   judged the demo twice, same bytes; said that it has no window")
	return nil
}
