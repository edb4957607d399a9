package osm

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// module gives the folder of a Go module that the project requires.
func module(tb testing.TB, path string) string {
	tb.Helper()
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", path).Output()
	dir := strings.TrimSpace(string(out))
	if err != nil || dir == "" {
		tb.Skipf("the module %s is not at hand: %v", path, err)
	}
	return dir
}

var osmModule = sync.OnceValue(func() string {
	out, _ := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/paulmach/osm").Output()
	return strings.TrimSpace(string(out))
})

// moduleFile opens a file of the test data that paulmach/osm carries.
func moduleFile(tb testing.TB, name string) Source {
	tb.Helper()
	if osmModule() == "" {
		tb.Skip("the module github.com/paulmach/osm is not at hand")
	}
	return openFile(tb, filepath.Join(osmModule(), "testdata", name))
}

// sharedFile opens a file of the shared test data, which are not part of the repository.
func sharedFile(tb testing.TB, name string) Source {
	tb.Helper()
	dir := os.Getenv("LASTROAD_SHARED")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared")
	}
	path := filepath.Join(dir, "data", name)
	if _, err := os.Stat(path); err != nil {
		tb.Skipf("the shared test data are not at hand (set LASTROAD_SHARED): %v", err)
	}
	return openFile(tb, path)
}

func openFile(tb testing.TB, path string) Source {
	tb.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		tb.Fatal(err)
	}
	return Source{Name: filepath.Base(path), R: bytes.NewReader(data), Size: int64(len(data))}
}
