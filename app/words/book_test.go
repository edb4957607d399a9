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

func BenchmarkSay(b *testing.B) {
	book := In("de")
	b.ReportAllocs()
	for b.Loop() {
		book.Say("Deep bogging, to the hubs")
	}
}
