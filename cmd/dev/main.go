// Command dev is the one helper for people who work on the program:
//
//	go run ./cmd/dev run          install what is missing, build, open the window
//	go run ./cmd/dev test         install what tests need and run them all
//	go run ./cmd/dev shots        make the pictures of the README
//	go run ./cmd/dev demo         write the invented demo's files anew
//	go run ./cmd/dev licences     list the licences of all linked modules for the program to show
//	go run ./cmd/dev bench        measure beside peers; --write puts the table into the README
//	go run ./cmd/dev mutate [N]   judge N damaged copies of good files: no crash, every refusal one line
//	go run ./cmd/dev fuzz         every fuzz target for 20 minutes in turn; --time 90s for less, WORD for some of them
//	go run ./cmd/dev race         every test under the race detector
//	go run ./cmd/dev vuln         known faults of the modules that are linked, from an offline database
//	go run ./cmd/dev window       do the whole job in a real window and measure its speed and memory
//
// It is plain Go: it builds and runs on a machine without a C compiler.
package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sort"

	"lastroad/app/trip"
	"lastroad/cmd/dev/demo"
	"lastroad/geo/survey"
)

func main() {
	if len(os.Args) < 2 {
		fmt.Fprintln(os.Stderr, "usage: go run ./cmd/dev run|test|shots|demo|licences|bench|mutate|fuzz|race|vuln|window")
		os.Exit(2)
	}
	jobs := map[string]func([]string) error{
		"run":      run,
		"test":     test,
		"shots":    shots,
		"demo":     writeDemo,
		"bench":    measure,
		"licences": writeLicences,
		"mutate":   judgeDamaged,
		"fuzz":     fuzz,
		"race":     race,
		"vuln":     vuln,
		"window":   window,
	}
	job, ok := jobs[os.Args[1]]
	if !ok {
		fmt.Fprintf(os.Stderr, "dev: %q is not a job; use run, test, shots, demo, licences, bench, mutate, fuzz, race or vuln\n", os.Args[1])
		os.Exit(2)
	}
	if err := job(os.Args[2:]); err != nil {
		fmt.Fprintln(os.Stderr, "dev:", err)
		os.Exit(1)
	}
}

// root is the top folder of the project, found by walking up to go.mod.
func root() (string, error) {
	dir, err := os.Getwd()
	if err != nil {
		return "", err
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir, nil
		}
		up := filepath.Dir(dir)
		if up == dir {
			return "", fmt.Errorf("no go.mod here or above; run this inside the project's folder")
		}
		dir = up
	}
}

// goToRoot makes the project's folder the one that is worked in.
func goToRoot() (string, error) {
	top, err := root()
	if err != nil {
		return "", err
	}
	return top, os.Chdir(top)
}

func writeDemo([]string) error {
	top, err := root()
	if err != nil {
		return err
	}
	files := demo.Files()
	if files[trip.DemoSurvey], err = demoSurvey(files, filepath.Join(top, "assets", "demo")); err != nil {
		return err
	}
	var names []string
	for name := range files {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		path := filepath.Join(top, "assets", "demo", name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, files[name], 0o644); err != nil {
			return err
		}
		fmt.Printf("%s: %d bytes\n", filepath.Join("assets", "demo", name), len(files[name]))
	}
	return nil
}

// demoSurvey measures the demo whose files were made anew, together with the plan in dir, and packs what was measured.
func demoSurvey(files map[string][]byte, dir string) ([]byte, error) {
	plan, err := os.ReadFile(filepath.Join(dir, "trip.toml"))
	if err != nil {
		return nil, err
	}
	s, err := trip.MeasureDemo(context.Background(), func(name string) []byte {
		if name == "trip.toml" {
			return plan
		}
		return files[name]
	})
	if err != nil {
		return nil, err
	}
	data, err := survey.Encode(s)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	_, err = w.Write(data)
	err = errors.Join(err, w.Close())
	return b.Bytes(), err
}
