package trip

import (
	"bytes"
	"errors"
	"os"
	"strings"
	"sync"
	"testing"

	"lastroad/geo"
	"lastroad/geo/garble"
	"lastroad/risk/catalogue"
)

func catalogueOf(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	b, err := Builtin()
	if err != nil {
		t.Fatal(err)
	}
	return b.Catalogue
}

func TestLogSums(t *testing.T) {
	l := UserLog{Drives: []Drive{
		{Date: "2026-03-01", Km: map[string]float64{"gravel": 300, "sand": 40}, Crossings: 2, PersonDays: 8, Troubles: []Trouble{{"tyre", "gravel", 1}, {"ford", "", 1}}},
		{Date: "2026-04-01", Km: map[string]float64{"gravel": 100}, Troubles: []Trouble{{"tyre", "gravel", 1}}},
	}}
	want := map[string]LogLine{"tyre gravel": {"tyre", geo.Gravel, 400, 2}, "tyre sand": {"tyre", geo.Sand, 40, 0}, "ford": {"ford", geo.Sealed, 2, 1}, "people": {"people", geo.Sealed, 8, 0}}
	got := map[string]LogLine{}
	for _, x := range l.Lines(catalogueOf(t)) {
		k := x.Hazard
		if x.Hazard != "ford" && x.Hazard != "people" && x.Hazard != "heat" {
			k += " " + x.Ground.Key()
		}
		got[k] = x
	}
	for k, w := range want {
		if got[k] != w {
			t.Errorf("%s: %+v, want %+v", k, got[k], w)
		}
	}
}

func TestLogIsRefused(t *testing.T) {
	for _, c := range []struct{ toml, want string }{
		{"schema = 1\n[[drives]]\ndate = 'yesterday'", "not a date"},
		{"schema = 1\n[[drives]]\ndate = '2026-03-01'\nkm = {lava = 3.0}", "not a ground"},
		{"schema = 1\n[[drives]]\ndate = '2026-03-01'\nkm = {sand = -3.0}", "must lie between"},
		{"schema = 1\n[[drives]]\ndate = '2026-03-01'\n[[drives.troubles]]\nhazard = 'tyre'\nground = 'sand'\ncount = 1.0", "without any kilometres"},
		{"schema = 1\n[[drives]]\ndate = '2026-03-01'\n[[drives.troubles]]\nhazard = 'dragons'\ncount = 1.0", "not one with a rate"},
		{"schema = 7", "schema 7"},
		{"schema = 1\nwhat = 2", "not known"},
		{"schema = 1\n" + strings.Repeat("k = 1\n", mostValues+1), "at most 20000"},
		{"schema = 1\n[[drives]]\ndate = '2026-03-01'\nnote = '" + strings.Repeat("n", mostTOML) + "'", "more than 1 MiB"},
		{"schema = 1\na" + strings.Repeat(".a", 1<<16) + " = 1", "not known"},
		{"schema = 1\n" + strings.Repeat("[[drives]]\n", 90_000), "drive 1"},
	} {
		garble.Bounded(t, len(c.toml), func() {
			if _, err := DecodeLog([]byte(c.toml), "log.toml"); err == nil || !strings.Contains(err.Error(), c.want) || len(err.Error()) > 1000 {
				t.Errorf("%.200q: %.1000v, want something short about %q", c.toml, err, c.want)
			}
		})
	}
}

// A log that is full takes no more drives and keeps those that it has; one that is larger still is not read to its end.
func TestAFullLog(t *testing.T) {
	t.Setenv("LASTROAD_DATA", t.TempDir())
	add := func(n int) error {
		_, err := ChangeLog(func(l *UserLog) error {
			for range n {
				l.Drives = append(l.Drives, Drive{Date: "2026-03-01", Note: "there and back", Km: map[string]float64{"gravel": 100}})
			}
			return nil
		})
		return err
	}
	if err := add(2000); err != nil {
		t.Fatalf("2000 drives, one a week for forty years: %v", err)
	}
	if err := add(mostValues); err == nil || !strings.Contains(err.Error(), "oldest drives") {
		t.Errorf("a flood of drives: %v, want what to do", err)
	}
	if l, err := ReadLog(); err != nil || len(l.Drives) != 2000 {
		t.Errorf("%d drives are left, %v; want 2000", len(l.Drives), err)
	}
	if err := os.Truncate(LogPath(), 1<<40); err != nil {
		t.Skip("no file of a terabyte can be made here: ", err)
	}
	garble.Bounded(t, mostTOML, func() {
		if _, err := ReadLog(); err == nil || !strings.Contains(err.Error(), "more than 1 MiB") {
			t.Errorf("a log of a terabyte: %v", err)
		}
	})
}

func TestLogIsNeverLost(t *testing.T) {
	t.Setenv("LASTROAD_DATA", t.TempDir())
	if l, err := ReadLog(); err != nil || len(l.Drives) != 0 {
		t.Fatalf("no log reads as %v, %v", l, err)
	}
	// Two windows write at once: both drives stay.
	var wg sync.WaitGroup
	for _, date := range []string{"2026-03-01", "2026-03-02", "2026-03-03", "2026-03-04"} {
		wg.Go(func() {
			if _, err := ChangeLog(func(l *UserLog) error { l.Drives = append(l.Drives, Drive{Date: date}); return nil }); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	l, err := ReadLog()
	if err != nil || len(l.Drives) != 4 || l.Drives[0].Date != "2026-03-04" {
		t.Fatalf("%v, %v; want four drives, the latest first", l, err)
	}
	if _, err := ChangeLog(func(l *UserLog) error { l.Drives[0].Date = "never"; return nil }); err == nil {
		t.Error("a drive without a date was written")
	}
	if _, err := ChangeLog(func(l *UserLog) error { return errors.New("stop") }); err == nil {
		t.Error("a change that failed was written")
	}
	if _, err := ChangeLog(func(l *UserLog) error { l.Drives = nil; return nil }); err != nil {
		t.Fatal(err)
	}
	old, err := readLog(backupOf(LogPath()))
	if err != nil || len(old.Drives) != 4 {
		t.Errorf("after a reset the log before is %v, %v", old, err)
	}
	if err := os.WriteFile(LogPath(), []byte("not toml ["), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := ChangeLog(func(l *UserLog) error { return nil }); err == nil {
		t.Error("a log that cannot be read was written over")
	}
}

func TestDriveOfTheDemo(t *testing.T) {
	d := demo(t)
	dr := DriveOf(d, "2026-05-01")
	if err := dr.Check(catalogueOf(t)); err != nil {
		t.Fatal(err)
	}
	km := 0.0
	for _, v := range dr.Km {
		km += v
	}
	if whole := d.Survey.LengthM() / 1000; km > whole+1 || km < whole/2 {
		t.Errorf("the drive has %.1f km, the route %.1f", km, whole)
	}
}

// Whatever the log holds, it is taken whole, or refused with its place and what to do.
func FuzzDecodeLog(f *testing.F) {
	good, err := UserLog{Drives: []Drive{
		{Date: "2026-03-01", Note: "to the \"dry\" lake\nand back", Km: map[string]float64{"gravel": 300.5, "sand": 40}, Crossings: 2, PersonDays: 8, Troubles: []Trouble{{"tyre", "gravel", 1}, {"ford", "", 1}}},
		{Date: "2026-04-01", Km: map[string]float64{"mud": 12}, Troubles: []Trouble{{"bogged", "mud", 3}}},
	}}.encode()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(good)
	f.Add([]byte("schema = 1\n"))
	f.Add([]byte("schema = 1\ndrives = " + strings.Repeat("[", 5000)))
	for _, b := range garble.Copies(300, true, good) {
		f.Add(b)
	}
	cat := catalogueOf(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		garble.Bounded(t, len(data), func() {
			l, err := DecodeLog(data, "log.toml")
			if err != nil {
				garble.Refused(t, err, "log.toml")
				return
			}
			first, err := l.encode()
			if err != nil {
				t.Fatalf("a log that was read cannot be written: %v", err)
			}
			m, err := DecodeLog(first, "log.toml")
			if err != nil {
				t.Fatalf("a log that was written cannot be read: %v\n%s", err, first)
			}
			if again, err := m.encode(); err != nil || !bytes.Equal(first, again) {
				t.Fatalf("a log differs after writing and reading (%v):\n%s\n---\n%s", err, first, again)
			}
			// A trip takes over its sums and is judged with them.
			if _, err := (&Plan{Log: l.Lines(cat)}).Catalogue(cat); err != nil {
				t.Fatalf("the sums of a good log are refused: %v\n%s", err, first)
			}
		})
	})
}
