package main

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
)

// buildsAgain builds the program without a window here and from a copy of the source in another folder; both must
// be the same to the byte, so that whoever builds a release can show that it is made of this source.
func buildsAgain() error {
	fmt.Println("\n== the same source in another folder gives the same bytes")
	dir, err := os.MkdirTemp("", "lastroad-again")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	other := filepath.Join(dir, "elsewhere", "source")
	if err := os.MkdirAll(other, 0o755); err != nil {
		return err
	}
	for _, folder := range []string{"app", "assets", "cmd", "geo", "risk"} {
		if err := os.CopyFS(filepath.Join(other, folder), os.DirFS(folder)); err != nil {
			return err
		}
	}
	for _, file := range []string{"go.mod", "go.sum"} {
		data, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(other, file), data, 0o644); err != nil {
			return err
		}
	}
	var builds [2][]byte
	for i, from := range []string{".", other} {
		out := filepath.Join(dir, fmt.Sprint("build", i))
		// Without the stamp of the version control, which a copy does not have.
		if text, err := quiet([]string{"CGO_ENABLED=0", "GOFLAGS="}, "go", "-C", from, "build", "-trimpath", "-buildvcs=false", "-o", out, "./cmd/lastroad"); err != nil {
			return fmt.Errorf("build in %s: %w: %s", from, err, tail([]byte(text), 1000))
		}
		if builds[i], err = os.ReadFile(out); err != nil {
			return err
		}
	}
	if !bytes.Equal(builds[0], builds[1]) {
		return fmt.Errorf("two builds of the same source differ: %x and %x", sha256.Sum256(builds[0]), sha256.Sum256(builds[1]))
	}
	fmt.Printf("   %d bytes, SHA-256 %x\n", len(builds[0]), sha256.Sum256(builds[0]))
	return nil
}
