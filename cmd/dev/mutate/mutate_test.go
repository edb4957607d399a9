package mutate

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func sharedFolder() string {
	if d := os.Getenv("LASTROAD_SHARED"); d != "" {
		return d
	}
	return filepath.Join("..", "..", "..", "..", "shared")
}

// A few copies of every kind; cmd/dev mutate takes ten thousand.
func TestDamagedCopies(t *testing.T) {
	g, err := NewGood(context.Background(), t.TempDir(), sharedFolder())
	if err != nil {
		t.Fatal(err)
	}
	n := 6 * len(g.kinds)
	if testing.Short() {
		n = 2 * len(g.kinds)
	}
	refused := 0
	for i := range n {
		o, err := g.Work(context.Background(), i)
		if err != nil {
			t.Fatal(err)
		}
		if o.Finding != "" {
			t.Errorf("case %d, %s: %s: %s", o.Case, o.Kind, o.Finding, o.Text)
		}
		if o.Status == 2 {
			refused++
		}
	}
	// The damage must bite: most copies of packed files cannot be read.
	if refused < n/4 {
		t.Errorf("%d of %d damaged copies were refused, want a quarter at least", refused, n)
	}
	t.Logf("%d of %d refused", refused, n)
}

// A block of a PBF file that is packed again without damage unpacks to the same.
func TestBlobsSurvivePacking(t *testing.T) {
	in := []blob{{"OSMHeader", []byte("head")}, {"OSMData", bytes.Repeat([]byte("data"), 5000)}}
	var file []byte
	for _, b := range in {
		file = append(file, packBlob(b)...)
	}
	out, err := unpackPBF(file)
	if err != nil {
		t.Fatal(err)
	}
	if len(out) != 2 || out[0].kind != "OSMHeader" || !bytes.Equal(out[1].raw, in[1].raw) {
		t.Errorf("unpacked to %d blobs, the first %q", len(out), out[0].kind)
	}
	for i := range file {
		unpackPBF(file[:i]) // must not panic
	}
}

func TestWrong(t *testing.T) {
	for _, c := range []struct {
		status int
		text   string
		bad    bool
	}{
		{0, "", false}, {0, "lastroad: a note\nlastroad: another\n", false}, {2, "lastroad: a.gpx: is empty\n", false},
		{2, "", true}, {2, "lastroad: a\nlastroad: b\n", true}, {2, "is empty\n", true}, {1, "lastroad: x\n", true},
		{2, "lastroad: runtime error: index out of range\n", true}, {2, "lastroad: \x01\n", true}, {2, "lastroad: %!d(string=x)\n", true}, {2, "lastroad: \"G%!\\v*\" is not quoted\n", false}, {2, "lastroad: " + strings.Repeat("x", 600) + "\n", true},
	} {
		if got := (Outcome{Status: c.status, Text: c.text}).wrong(); (got != "") != c.bad {
			t.Errorf("status %d with %q: %q", c.status, c.text, got)
		}
	}
}
