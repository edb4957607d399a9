package words

import (
	"strings"
	"testing"
	"unicode/utf8"

	"lastroad/assets"
	"lastroad/geo/garble"
	"lastroad/risk/catalogue"
)

func TestEveryRowIsWhole(t *testing.T) {
	rows, err := read(assets.Words())
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 500 {
		t.Fatalf("only %d rows", len(rows))
	}
	for _, r := range rows {
		for i := 1; i < len(r); i++ {
			if _, err := compile(r[0], r[i]); err != nil {
				t.Errorf("%s: %v", Languages[i], err)
			}
			if !utf8.ValidString(r[i]) || strings.TrimSpace(r[i]) == "" {
				t.Errorf("%s of %q is not a text", Languages[i], r[0])
			}
			// A sentence left in English by mistake; short names may be alike.
			if r[i] == r[0] && len(r[0]) > 24 {
				t.Errorf("%s of %q is the English", Languages[i], r[0])
			}
		}
	}
}

// Every name of a thing, a trouble, a remedy and a factor in the tables has its name in every language.
func TestNamesOfTheTables(t *testing.T) {
	cat, err := catalogue.Load(assets.Table)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, x := range cat.Items {
		names = append(names, x.Title)
	}
	for _, x := range cat.Hazards {
		names = append(names, x.Title)
	}
	for _, x := range cat.Events {
		names = append(names, x.Title)
	}
	for _, x := range cat.Recipes {
		names = append(names, x.Title)
	}
	for _, x := range cat.Factors {
		names = append(names, x.Title)
	}
	for _, x := range cat.Skills {
		names = append(names, x.Title)
	}
	for _, l := range Languages[1:] {
		b := In(l)
		var missing []string
		for _, n := range names {
			if _, ok := b.name(n); !ok {
				missing = append(missing, n)
			}
		}
		// A new row of a table shows in English until it has its words; more than a few are an omission.
		if len(missing)*50 > len(names) {
			t.Errorf("%s has no names for %d of %d: %q", l, len(missing), len(names), missing)
		}
	}
}

func TestSay(t *testing.T) {
	for _, c := range []struct{ lang, in, want string }{
		{"de", "spare wheel", "Ersatzrad"},
		{"es", "Spare wheel", "Rueda de repuesto"},
		{"fr-CA", "drinking water", "eau potable"},
		{"en", "Spare wheel", "Spare wheel"},
		{"it", "spare wheel", "spare wheel"},
		{"de", "a thing that nobody named", "a thing that nobody named"},
		{"de", "spare wheel and drinking water", "Ersatzrad und Trinkwasser"},
		{"es", "12.5", "12,5"},
	} {
		if got := In(c.lang).Say(c.in); got != c.want {
			t.Errorf("%s of %q is %q, want %q", c.lang, c.in, got, c.want)
		}
	}
}

func TestPattern(t *testing.T) {
	p, err := compile("%s: %.1f kN below %.1f kN (%d %%)", "%[2]s kN unter %[3]s kN an %[1]s, %[4]s %%")
	if err != nil {
		t.Fatal(err)
	}
	args := p.match("bow shackle: 31.9 kN below 46.1 kN (12 %)")
	if len(args) != 1 || p.fill(args[0]) != "31.9 kN unter 46.1 kN an bow shackle, 12 %" {
		t.Errorf("%v", args)
	}
	if p.match("bow shackle: many kN below 46.1 kN (12 %)") != nil {
		t.Error("words were taken for a figure")
	}
	for _, bad := range [][2]string{{"%s of %d", "%s"}, {"%s", "%s %s"}} {
		if _, err := compile(bad[0], bad[1]); err == nil {
			t.Errorf("%q for %q was taken", bad[1], bad[0])
		}
	}
}

// Whatever is said comes back, in any language, without a fault.
func FuzzSay(f *testing.F) {
	f.Add("Spare wheel. 31.9 kN below 46.1 kN; deep bogging and illness")
	f.Add(strings.Repeat("a and b; ", 40))
	for _, b := range garble.Copies(200, true, []byte("Spare wheel. 31.9 kN below 46.1 kN; deep bogging and illness")) {
		f.Add(string(b))
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, l := range Languages {
			if got := In(l).Say(s); s != "" && got == "" {
				t.Errorf("%s says nothing for %q", l, s)
			}
		}
	})
}

// Lines of the words are taken as rows whose every pattern compiles and fills its own blanks, or refused.
func FuzzRead(f *testing.F) {
	good := []byte("en\tde\tes\tfr\n# a remark\nspare wheel\tReserverad\trueda de repuesto\troue de secours\n%.1f kN below %s\t%.1f kN unter %s\t%.1f kN bajo %s\t%[2]s, %[1].1f kN\n%d of %w; %q\t%d von %w; %q\t%d de %w; %q\t%d de %w; %q\n")
	f.Add(good)
	for _, b := range garble.Copies(300, true, good, assets.Words()[:4000]) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		garble.Bounded(t, len(data), func() {
			rows, err := read(data)
			if err != nil {
				if !strings.HasPrefix(err.Error(), "line ") {
					t.Fatalf("error %q names no line", err)
				}
				return
			}
			seen := map[string]bool{}
			for _, r := range rows {
				if len(r) != len(Languages) || seen[r[0]] {
					t.Fatalf("row %q", r)
				}
				seen[r[0]] = true
			}
		})
	})
}

// A pattern that compiles fills in what it matches.
func FuzzCompile(f *testing.F) {
	for _, s := range [][3]string{{"%.1f kN below %s", "%[2]s, %[1].1f kN", "31.9 kN below 46.1 kN"}, {"%d of %w; %q", "%d von %w; %q", "3 of them; \"a\""}, {"100 %% of %v", "100 %% von %v", "100 % of it"}, {"%[9]s", "%[0]s%", ""}} {
		f.Add(s[0], s[1], s[2])
		for _, b := range garble.Copies(100, true, []byte(s[0])) {
			f.Add(string(b), s[1], s[2])
			f.Add(s[0], string(b), s[2])
		}
	}
	f.Fuzz(func(t *testing.T, en, other, text string) {
		p, err := compile(en, other)
		if err != nil {
			return
		}
		for _, blanks := range p.match(text) {
			if len(blanks) != len(p.text) {
				t.Fatalf("%q has %d blanks, %q fills %d", en, len(p.text), text, len(blanks))
			}
			p.fill(blanks)
		}
	})
}

func BenchmarkSay(b *testing.B) {
	book := In("de")
	b.ReportAllocs()
	for b.Loop() {
		book.Say("Deep bogging, to the hubs")
	}
}
