package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"time"
)

// fuzz tries every fuzz target for --time (20m) in turn, those whose package and name hold a word given. One finding does
// not stop the others; Go writes what it found into testdata/fuzz of the package.
func fuzz(args []string) error {
	if _, err := goToRoot(); err != nil {
		return err
	}
	long, words := 20*time.Minute, args
	if len(args) >= 2 && args[0] == "--time" {
		var err error
		if long, err = time.ParseDuration(args[1]); err != nil || long < time.Second {
			return fmt.Errorf("--time takes how long each target is tried, as 90s or 20m")
		}
		words = args[2:]
	}
	targets, err := fuzzTargets(words)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "fuzz")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	var found []string
	for _, t := range targets {
		if err := t.try(long, dir); err != nil {
			fmt.Println("dev:", err)
			found = append(found, t.folder+" "+t.name)
		}
	}
	if len(found) > 0 {
		return fmt.Errorf("findings in %s", strings.Join(found, ", "))
	}
	fmt.Printf("\nno finding in %d targets, %v each\n", len(targets), long)
	return nil
}

// fuzzTarget is a function FuzzX of the tests in a folder of the project.
type fuzzTarget struct{ folder, name string }

var fuzzName = regexp.MustCompile(`(?m)^func (Fuzz\w+)\(`)

// fuzzTargets are those of the project in the order of their folders, of which folder and name together hold one of words
// when there are any.
func fuzzTargets(words []string) ([]fuzzTarget, error) {
	var out []fuzzTarget
	for _, at := range []string{"app", "cmd", "geo", "risk"} {
		err := filepath.WalkDir(at, func(path string, e os.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, "_test.go") {
				return err
			}
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			for _, m := range fuzzName.FindAllSubmatch(text, -1) {
				t := fuzzTarget{filepath.ToSlash(filepath.Dir(path)), string(m[1])}
				if wantedBy(words, t.folder+" "+t.name) {
					out = append(out, t)
				}
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no fuzz target has %s in its folder or name", strings.Join(words, " or "))
	}
	return out, nil
}

func wantedBy(words []string, text string) bool {
	for _, w := range words {
		if strings.Contains(strings.ToLower(text), strings.ToLower(w)) {
			return true
		}
	}
	return len(words) == 0
}

// try runs the engine on one target. An input that is new to it is made smaller for 2 s at most: for the minute that is
// usual each of them takes, hardly anything else would be tried.
func (t fuzzTarget) try(long time.Duration, dir string) error {
	binary := filepath.Join(dir, strings.ReplaceAll(t.folder, "/", "_")+".test")
	if _, err := os.Stat(binary); err != nil {
		if err := step("build "+t.folder, nil, "go", "test", "-tags", tags, "-c", "-fuzz=.", "-o", binary, "./"+t.folder); err != nil {
			return err
		}
	}
	fmt.Printf("\n== %s %s, %v\n", t.folder, t.name, long)
	// The engine ends by itself; the context is for a target that hangs.
	ctx, stop := context.WithTimeout(context.Background(), long+10*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, binary, "-test.run=^$", "-test.fuzz=^"+t.name+"$", "-test.fuzztime="+long.String(), "-test.fuzzminimizetime=2s",
		fmt.Sprintf("-test.parallel=%d", runtime.NumCPU()), "-test.timeout=0", "-test.fuzzcachedir="+filepath.Join(dir, "cache", t.folder))
	cmd.Dir = t.folder
	out, err := cmd.CombinedOutput()
	fmt.Printf("%s\n", bytes.TrimSpace(tail(out, 400)))
	if err != nil && atTheBell(out) && ctx.Err() == nil {
		return nil
	}
	if err != nil {
		fmt.Printf("%s\n", tail(out, 4000))
		return errors.Join(fmt.Errorf("%s %s", t.folder, t.name), err, ctx.Err())
	}
	return nil
}

// atTheBell tells that the engine failed for nothing but its own time running out while an input was being tried, which
// Go reports as a failure without an input.
func atTheBell(out []byte) bool {
	return bytes.Contains(out, []byte("    context deadline exceeded\n")) && !bytes.Contains(out, []byte("Failing input")) && !bytes.Contains(out, []byte("panic:"))
}
