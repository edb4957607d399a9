package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
)

// The scanner and the collection of known faults, both as modules from the proxy; the collection's newest version is
// asked for, and this one taken when that cannot be had.
const (
	govulncheck = "golang.org/x/vuln/cmd/govulncheck@v1.9.0"
	vulndb      = "golang.org/x/vulndb"
	vulndbPin   = "v0.0.0-20261105234957-e22db6528018"
)

// vuln looks for known faults in what the program links, by a database made on this machine: faults of modules end it
// with an error, those of the standard library are shown, since they go away with the next Go and not by a change here.
func vuln(args []string) error {
	if _, err := goToRoot(); err != nil {
		return err
	}
	if err := need(buildPackages...); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "vuln")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	source, version, err := vulndbFolder(dir)
	if err != nil {
		return err
	}
	fmt.Println("dev: known faults as of", version)
	db := filepath.Join(dir, "db")
	// The indexer must run inside its own module: it is no package that go run could name with a version.
	if out, err := inModule(source, dir, "go", "run", "./cmd/indexdb", "-out", db, "-vulns", filepath.Join(source, "data", "osv")); err != nil {
		return fmt.Errorf("database: %w: %s", err, tail([]byte(out), 1000))
	}
	out, err := exec.Command("go", "run", govulncheck, "-db", "file://"+db, "-format", "json", "-tags", tags, "./cmd/lastroad").Output()
	if err != nil {
		if e, ok := err.(*exec.ExitError); ok {
			return fmt.Errorf("govulncheck: %w: %s", err, tail(e.Stderr, 1000))
		}
		return err
	}
	found, err := faults(strings.NewReader(string(out)))
	if err != nil {
		return err
	}
	return report(found)
}

// vulndbFolder fetches the collection through the Go proxy.
func vulndbFolder(dir string) (folder, version string, err error) {
	for _, v := range []string{"latest", vulndbPin} {
		out, err := inModule("", dir, "go", "mod", "download", "-json", vulndb+"@"+v)
		if err != nil {
			continue
		}
		var m struct{ Dir, Version string }
		if err := json.Unmarshal([]byte(out), &m); err == nil && m.Dir != "" {
			return m.Dir, m.Version, nil
		}
	}
	return "", "", fmt.Errorf("the collection of known faults (%s) cannot be fetched from the Go proxy", vulndb)
}

// inModule runs a command in folder, or in dir when that is "", without the project's own module.
func inModule(folder, dir, name string, args ...string) (string, error) {
	if folder == "" {
		folder = dir
	}
	cmd := exec.Command(name, args...)
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), "GOFLAGS=-mod=mod", "GOWORK=off")
	out, err := cmd.Output()
	if e, ok := err.(*exec.ExitError); ok {
		return string(e.Stderr), err
	}
	return string(out), err
}

// fault is one known fault in a module that the program builds on.
type fault struct {
	id, module, version, fixed, summary string
	level                               string // "called", "imported" or "required": how near it comes to the program
}

var levels = map[string]int{"required": 0, "imported": 1, "called": 2}

// faults reads govulncheck's stream of JSON messages and keeps the nearest finding of each fault and module.
func faults(r io.Reader) ([]fault, error) {
	summaries := map[string]string{}
	nearest := map[string]fault{}
	d := json.NewDecoder(r)
	for {
		var m struct {
			OSV *struct {
				ID      string `json:"id"`
				Summary string `json:"summary"`
			} `json:"osv"`
			Finding *struct {
				OSV   string `json:"osv"`
				Fixed string `json:"fixed_version"`
				Trace []struct {
					Module, Version, Package, Function string
				} `json:"trace"`
			} `json:"finding"`
		}
		if err := d.Decode(&m); err == io.EOF {
			break
		} else if err != nil {
			return nil, fmt.Errorf("govulncheck's answer: %w", err)
		}
		if m.OSV != nil {
			summaries[m.OSV.ID] = m.OSV.Summary
		}
		if m.Finding == nil || len(m.Finding.Trace) == 0 {
			continue
		}
		t := m.Finding.Trace[0]
		f := fault{id: m.Finding.OSV, module: t.Module, version: t.Version, fixed: m.Finding.Fixed, level: "required"}
		switch {
		case t.Function != "":
			f.level = "called"
		case t.Package != "":
			f.level = "imported"
		}
		key := f.id + " " + f.module
		if old, ok := nearest[key]; !ok || levels[f.level] > levels[old.level] {
			nearest[key] = f
		}
	}
	var out []fault
	for _, f := range nearest {
		f.summary = summaries[f.id]
		out = append(out, f)
	}
	sort.Slice(out, func(i, j int) bool {
		if a, b := levels[out[i].level], levels[out[j].level]; a != b {
			return a > b
		}
		return out[i].id < out[j].id
	})
	return out, nil
}

// report shows the faults; those of modules are an error when the program calls or imports what is at fault.
func report(found []fault) error {
	var bad []string
	for _, f := range found {
		fixed := "no version mends it"
		if f.fixed != "" {
			fixed = "mended in " + f.fixed
		}
		fmt.Printf("   %s %s %s (%s): %s; %s\n", f.id, f.module, f.version, f.level, f.summary, fixed)
		if f.module != "stdlib" && f.level != "required" {
			bad = append(bad, f.id+" in "+f.module)
		}
	}
	if len(bad) > 0 {
		return fmt.Errorf("known faults in modules that are linked: %s", strings.Join(bad, ", "))
	}
	fmt.Printf("   %d findings, none of them in a module that is linked\n", len(found))
	return nil
}
