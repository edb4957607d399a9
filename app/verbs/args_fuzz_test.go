package verbs

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lastroad/geo/garble"
)

// Whatever is written behind a verb, it is understood or refused in one line with exit status 2 and nothing written.
// The files named do not exist, so that no input takes the time of judging a trip; "pull" has a target of its own.
func FuzzArgs(f *testing.F) {
	good := []string{
		"judge no.gpx --region no.osm.pbf --heights no.hgt --corridor 30 --track 2 --solo --samples 2000 --json --fail stop",
		"survey no.trip --corridor=12.5 --track=-1 --together",
		"region no.osm.gz --json",
		"compare no.gpx --with no.trip --month 3 --month 12 --samples 500 --json",
		"pack no.trip --payload 120.5 --volume 80 --picture p.svg --json",
		"papers no.trip --out d --only book,home --size A4 --lang de --units imperial --date 2026-03-01 --picture 297x210 --dpi 144",
		"papers no.trip --out d --size letter --date 2026-03-01T04:05:06+02:00",
		"assumptions bogged --from practice --json",
		"assumptions --on no.trip",
	}
	for _, s := range good {
		f.Add(s)
	}
	var texts [][]byte
	for _, s := range good {
		texts = append(texts, []byte(s))
	}
	for _, b := range garble.Copies(300, true, texts...) {
		f.Add(string(b))
	}
	f.Fuzz(func(t *testing.T, line string) {
		args := strings.Fields(line)
		if len(args) == 0 || args[0] == "pull" || strings.ContainsAny(line, "/\\\x00") || slices.ContainsFunc(args, func(a string) bool { return strings.HasSuffix(a, "demo") }) {
			return
		}
		dir := t.TempDir()
		t.Chdir(dir)
		var out, errs bytes.Buffer
		status := 0
		garble.Bounded(t, len(line), func() {
			status = Run(context.Background(), args, Streams{&out, &errs}, nil)
		})
		switch said := errs.String(); {
		case status == Done && said == "" && out.Len() > 0:
		case status == BadInput && out.Len() == 0 && strings.HasPrefix(said, "lastroad: ") && strings.Count(said, "\n") == 1:
		default:
			t.Fatalf("%q: exit status %d with %d bytes of output and the error %q", line, status, out.Len(), said)
		}
		if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
			t.Fatalf("%q leaves %v, %v", line, left, err)
		}
	})
}

// What no judging could do with is refused before anything is opened, whichever verb is asked.
func TestFiguresBeyondReason(t *testing.T) {
	for _, line := range []string{
		"judge demo --corridor NaN", "judge demo --corridor -1", "judge demo --samples -1", "survey demo --corridor 1e9",
		"compare demo --samples 999999999", "compare demo --corridor NaN", "compare demo --month 13", "compare demo --month 1 --month 2 --month 3 --month 4",
		"pack demo --samples -3", "pack demo --payload NaN", "pack demo --picture x.gif", "assumptions --from nonsense", "papers demo --out x --picture NaNxNaN",
	} {
		var out, errs bytes.Buffer
		status := Run(context.Background(), strings.Fields(line), Streams{&out, &errs}, nil)
		if said := errs.String(); status != BadInput || out.Len() > 0 || strings.Count(said, "\n") != 1 {
			t.Errorf("%s: exit status %d, %d bytes of output and the error %q, want one line and 2", line, status, out.Len(), said)
		}
	}
}

// fullDisk is an output on a disk without room.
type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

func TestOutputThatCannotBeWritten(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a.osm")
	if err := os.WriteFile(file, []byte("<osm><node id='1' lat='1' lon='2'/></osm>"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"region", file}, {"region", file, "--json"}, {"assumptions"}, {"assumptions", "--json"}, {"pull", "--mass", "2900"}, {"help"}, {"--version"}} {
		var errs bytes.Buffer
		if status := Run(context.Background(), args, Streams{fullDisk{}, &errs}, nil); status != BadInput || strings.Count(errs.String(), "\n") != 1 {
			t.Errorf("%v to a full disk: exit status %d and the error %q, want one line and 2", args, status, errs.String())
		}
	}
}
