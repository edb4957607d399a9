package papers

import (
	"bytes"
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"lastroad/app/trip"
)

var demo = sync.OnceValues(func() (*Set, error) {
	d, err := trip.Demo(context.Background(), trip.Request{}, nil)
	if err != nil {
		return nil, err
	}
	return Prepare(context.Background(), d, time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC), "A4")
})

func demoSet(t testing.TB) *Set {
	t.Helper()
	s, err := demo()
	if err != nil {
		t.Fatal(err)
	}
	c := *s
	return &c
}

func TestEveryPaperIsWrittenTheSameTwice(t *testing.T) {
	s := demoSet(t)
	if dir := os.Getenv("LASTROAD_PICTURES"); dir != "" {
		if _, err := s.WriteTo(dir, List, nil); err != nil {
			t.Fatal(err)
		}
	}
	for _, p := range List {
		var a, b bytes.Buffer
		if err := p.Write(&a, s); err != nil {
			t.Errorf("%s: %v", p.Key, err)
			continue
		}
		if err := p.Write(&b, s); err != nil {
			t.Errorf("%s: %v", p.Key, err)
			continue
		}
		if a.Len() < 500 {
			t.Errorf("%s has %d bytes: that is no paper", p.Key, a.Len())
		}
		if !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Errorf("%s written twice differs", p.Key)
		}
	}
}

// wants skips a test when a program that it checks with is absent.
func wants(t *testing.T, program string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		t.Skipf("%s is not installed; the check with it is left out", program)
	}
	return path
}

func run(t *testing.T, program string, args ...string) string {
	t.Helper()
	out, err := exec.Command(program, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", program, strings.Join(args, " "), err, out)
	}
	return string(out)
}

func write(t *testing.T, s *Set, key string) string {
	t.Helper()
	files, err := s.WriteTo(t.TempDir(), pickOne(t, key), nil)
	if err != nil {
		t.Fatal(err)
	}
	return files[0]
}

// Checked with poppler: text can be selected, fonts are embedded, every leg has its sheet, pages count themselves.
func TestBookWithPoppler(t *testing.T) {
	wants(t, "pdftotext")
	for _, size := range []string{"A4", "letter"} {
		s := demoSet(t)
		s.Size = size
		file := write(t, s, "book")
		text := run(t, "pdftotext", "-layout", file, "-")
		for _, want := range []string{s.Doc.Name(), "Leg 1", "Load list", "Emergency page", "Tyre pressure card", "Signals to aircraft", "Where the points go"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: the book's text lacks %q", size, want)
			}
		}
		info := run(t, "pdfinfo", file)
		want := map[string]string{"A4": "595.2", "letter": "612 x 792"}[size]
		if !strings.Contains(info, want) {
			t.Errorf("%s: pdfinfo gives no page of %s points:\n%s", size, want, info)
		}
		for i, line := range strings.Split(run(t, "pdffonts", file), "\n") {
			f := strings.Fields(line)
			if i < 2 || len(f) < 5 {
				continue
			}
			if f[len(f)-5] != "yes" {
				t.Errorf("%s: a font is not embedded: %s", size, line)
			}
		}
		pages := strings.Count(text, "\f")
		if n := strings.Count(text, "page "); n < pages {
			t.Errorf("%s: %d of %d pages carry a number", size, n, pages)
		}
	}
}

// The outline leads to every part of the book and to every leg.
func TestBookHasAnOutline(t *testing.T) {
	s := demoSet(t)
	pages, err := s.book().Pages()
	if err != nil {
		t.Fatal(err)
	}
	b := pages.sheet
	marks := "|" + strings.Join(b.marks, "|") + "|"
	for _, want := range []string{"Cover", "Legs at a glance", "Leg 1 · Southern Road", "Load list", "Tyre pressure card", "Recovery cards", "Emergency page", "What this book rests on"} {
		if !strings.Contains(marks, "|"+want+"|") {
			t.Errorf("the outline lacks %q: %s", want, marks)
		}
	}
	if n := strings.Count(marks, "|Leg "); n != len(s.Doc.Judgement.Legs) {
		t.Errorf("the outline has %d legs, want %d", n, len(s.Doc.Judgement.Legs))
	}
	var out bytes.Buffer
	if err := b.pdf(&out); err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(out.Bytes(), []byte("/Outlines")) || bytes.Contains(out.Bytes(), []byte("{pages}")) {
		t.Error("the file has no outline, or the number of pages was not put in")
	}
}

// A full disk: what was there stays, and the reason is told in one line.
func TestPapersOnAFullDisk(t *testing.T) {
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("no small disk can be mounted here: %s", bytes.TrimSpace(out))
	}
	defer exec.Command("umount", dir).Run()
	s := demoSet(t)
	if _, err := s.WriteTo(dir, pickOne(t, "home-text"), nil); err != nil {
		t.Fatalf("a small paper on a small disk: %v", err)
	}
	_, err := s.WriteTo(dir, pickOne(t, "book"), nil)
	if err == nil || !strings.Contains(err.Error(), "trip-book.pdf") || !strings.Contains(err.Error(), "room") || strings.Contains(err.Error(), "\n") {
		t.Errorf("the book on a disk of 64 KiB gave %v, want one line that names the file and the disk's room", err)
	}
	entries, _ := os.ReadDir(dir)
	if len(entries) != 1 || entries[0].Name() != "note-for-home.txt" {
		t.Errorf("%d files lie on the disk after the failure, want the note alone: %v", len(entries), entries)
	}
}

func pickOne(t *testing.T, key string) []Paper {
	t.Helper()
	p, err := Pick([]string{key})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestNavigationFilesWithOtherReaders(t *testing.T) {
	s := demoSet(t)
	legs := len(s.Doc.Survey.Legs)
	t.Run("our own GPX gives the same legs", func(t *testing.T) {
		file := write(t, s, "gpx")
		d, err := trip.Open(context.Background(), trip.Request{Files: []string{file}}, nil)
		if err != nil {
			t.Fatal(err)
		}
		a, b := s.Doc.Survey.LengthM(), d.Survey.LengthM()
		if diff := a - b; diff > 0.5 || diff < -0.5 {
			t.Errorf("read back the route is %.3f m long, was %.3f m", b, a)
		}
		// The same ground under the route read back.
		same := *s.Doc
		same.Route, same.Survey = d.Route, nil
		again, err := same.Remeasured(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if len(again.Survey.Legs) != legs {
			t.Fatalf("read back the route has %d legs, was %d", len(again.Survey.Legs), legs)
		}
		for i := range again.Survey.Legs {
			if a, b := s.Doc.Survey.FromM(i), again.Survey.FromM(i); a-b > 50 || b-a > 50 {
				t.Errorf("leg %d begins at %.0f m, was %.0f m", i+1, b, a)
			}
		}
		if legs < 5 {
			t.Errorf("the demo has %d legs", legs)
		}
	})
}

// Letters that the typeface lacks, names of a book's length and text that breaks lines: every paper is made,
// and the printed ones say what they could not write.
func TestOddTextOnEveryPaper(t *testing.T) {
	for _, c := range []struct{ name, text string }{
		{"right to left", "راه دور و دراز"},
		{"ideographs", "長い道のり 漫长的路"},
		{"ten thousand letters", strings.Repeat("x", 10000)},
		{"ten thousand words", strings.Repeat("long ", 10000)},
		{"control characters", "a\x00b\x07c\u202ed\u2066e\ttab\r\nline"},
		{"broken bytes", "broken \xff\xfe end"},
		{"beyond the basic plane", "party 🚙🏜 time"},
		{"joined marks", "cafe\u0301 an\u0303o"},
		{"formula", "=1+2"},
	} {
		s := with(t, func(p *trip.Plan) {
			p.Trip.Name = c.text
			p.Home.Contact, p.Home.Remarks, p.Home.CallFirst, p.Home.VehicleLook = c.text, c.text, c.text, c.text
			p.Trip.Party.People[0].Name = c.text
			p.Stops[0].Name = c.text
		})
		sv := *s.Doc.Survey
		sv.Legs = append(sv.Legs[:0:0], sv.Legs...)
		sv.Legs[0].Name, sv.Legs[4].Name = c.text, c.text
		d := *s.Doc
		d.Survey = &sv
		s.Doc = &d
		s.Scene = bare(s)
		s.Load = append([]LoadRow{{Place: c.text, Title: c.text, Count: 1, EachKg: 2}}, s.Load...)
		for _, p := range List {
			if strings.HasPrefix(p.Key, "map") || strings.HasPrefix(p.Key, "strip") || p.Key == "book" {
				continue // the book is written below
			}
			var b bytes.Buffer
			if err := p.Write(&b, s); err != nil {
				t.Errorf("%s: %s: %v", c.name, p.Key, err)
			}
		}
		if pages, err := s.book().Pages(); err != nil {
			t.Errorf("%s: %v", c.name, err)
		} else {
			b := pages.sheet
			if err := b.pdf(io.Discard); err != nil {
				t.Errorf("%s: book: %v", c.name, err)
			}
			for _, f := range faults(b) {
				if !strings.Contains(f, "is cut or broken") {
					t.Errorf("%s: %s", c.name, f)
				}
			}
			lacks := c.name == "right to left" || c.name == "ideographs" || strings.HasPrefix(c.name, "b")
			if b.unprintable != lacks {
				t.Errorf("%s: the book says that letters are missing: %v, want %v", c.name, b.unprintable, lacks)
			}
		}
	}
	if _, err := exec.LookPath("pdftotext"); err == nil {
		s := with(t, func(p *trip.Plan) { p.Trip.Name = "長い道" })
		for _, key := range []string{"book", "home"} {
			if text := run(t, "pdftotext", write(t, s, key), "-"); !strings.Contains(text, "question mark") {
				t.Errorf("%s does not say that letters could not be written", key)
			}
		}
		if text := noteText(t, s); !strings.Contains(text, "長い道") {
			t.Error("the plain-text note lost the letters")
		}
	}
}

func TestUnwritableFolder(t *testing.T) {
	s := demoSet(t)
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	p, _ := Pick([]string{"home-text"})
	if _, err := s.WriteTo(filepath.Join(file, "below"), p, nil); err == nil || strings.Contains(err.Error(), "\n") {
		t.Errorf("writing below a file gave %v, want one line", err)
	}
}

// The note for home of a dated trip must name the hours itself: nobody may have to work them out.
func TestNoteForHomeNamesTheHours(t *testing.T) {
	s := demoSet(t)
	j := s.Doc.Judgement
	if len(j.CheckIns) < 3 || !(j.WorryUnix > 0) || j.OverdueUnix <= j.WorryUnix {
		t.Fatalf("the demo has %d check-ins, worry %d, overdue %d; want several, and worry before overdue", len(j.CheckIns), j.WorryUnix, j.OverdueUnix)
	}
	last := j.Legs[len(j.Legs)-1].Needs.ArriveUnix
	if j.WorryUnix < last {
		t.Errorf("the contact is to worry %d s before the planned arrival", last-j.WorryUnix)
	}
	data, err := os.ReadFile(write(t, s, "home-text"))
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(data), "____") && strings.Contains(string(data), "agree on an hour") {
		t.Errorf("the note leaves the hour to be filled in:\n%s", data[:900])
	}
	overdue := time.Unix(j.OverdueUnix, 0).UTC().Format("15:04 UTC")
	if !strings.Contains(string(data), overdue) {
		t.Errorf("the note does not name the overdue hour %s", overdue)
	}
}
