package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestLicencesAreThoseOfTheModules: the list that the program shows names exactly the modules that are linked,
// in the versions that are linked.
func TestLicencesAreThoseOfTheModules(t *testing.T) {
	top, err := root()
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(top, "assets", "licences.txt"))
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{}
	for _, block := range strings.Split(string(data), "\n=== ")[1:] {
		head, text, _ := strings.Cut(block, "\n")
		if len(strings.TrimSpace(text)) < 200 {
			t.Errorf("%s has next to no text", head)
		}
		for _, n := range strings.Split(head, ", ") {
			listed[n] = true
		}
	}
	if !listed["Go standard library"] {
		t.Error("the standard library is not listed")
	}
	delete(listed, "Go standard library")
	mods, err := linked(top)
	if err != nil {
		t.Skipf("the modules cannot be listed here: %v", err)
	}
	if len(mods) < 20 {
		t.Fatalf("only %d modules are linked", len(mods))
	}
	typefaces := 0
	for _, m := range mods {
		if !listed[m.name()] {
			t.Errorf("%s is linked and not listed; run: go run ./cmd/dev licences", m.name())
		}
		delete(listed, m.name())
		fonts, err := fontFolders(m.dir)
		if err != nil {
			t.Error(err)
		}
		for _, f := range fonts {
			if !listed[f.name(m)] {
				t.Errorf("%s are bundled and not listed; run: go run ./cmd/dev licences", f.name(m))
			}
			delete(listed, f.name(m))
			typefaces += len(f.files)
		}
	}
	if typefaces < 4 { // the toolkit's proportional ones alone come in four cuts
		t.Errorf("%d typefaces are listed, want those of the toolkit", typefaces)
	}
	for n := range listed {
		t.Errorf("%s is listed and not linked; run: go run ./cmd/dev licences", n)
	}
}
