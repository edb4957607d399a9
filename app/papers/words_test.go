package papers

import (
	"regexp"
	"sort"
	"strings"
	"testing"

	"lastroad/geo"
	"lastroad/geo/facts"
)

var verb = regexp.MustCompile(`%(\[\d+\])?[+#.0-9]*[a-zA-Z%]`)

// Every language has every sentence, with the same blanks, in letters that the typeface has.
func TestEveryLanguageHasEverySentence(t *testing.T) {
	fonts, err := newFonts()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, s := range sentences {
		if seen[s.key] {
			t.Errorf("sentence %q stands twice", s.key)
		}
		seen[s.key] = true
		for i, text := range []string{s.en, s.de, s.es, s.fr} {
			lang := Languages[i]
			if strings.TrimSpace(text) == "" && (s.key != "language_note" || lang != "en") {
				t.Errorf("%s: sentence %q is empty", lang, s.key)
			}
			want, got := blanks(s.en), blanks(text)
			if s.key != "language_note" && strings.Join(want, " ") != strings.Join(got, " ") {
				t.Errorf("%s: sentence %q has blanks %v, English has %v", lang, s.key, got, want)
			}
			if fonts.Missing(strings.ReplaceAll(text, "\n", "")) {
				t.Errorf("%s: sentence %q has letters that the typeface lacks: %s", lang, s.key, text)
			}
			if strings.Contains(text, "  ") && !strings.Contains(text, "____") || strings.HasSuffix(text, " ") {
				t.Errorf("%s: sentence %q has stray blanks: %q", lang, s.key, text)
			}
		}
	}
	for _, lang := range Languages {
		w, ok := Language(lang)
		if !ok || len(w.table) != len(sentences) {
			t.Errorf("language %s: found %v with %d sentences, want %d", lang, ok, len(w.table), len(sentences))
		}
	}
}

// blanks lists the verbs of a sentence that has any, in an order that does not depend on numbering. A lone "%%" only
// counts beside verbs: without arguments a sentence is not formatted and writes "%".
func blanks(s string) []string {
	var out []string
	n := 0
	for _, v := range verb.FindAllStringSubmatch(s, -1) {
		if strings.HasSuffix(v[0], "%") {
			continue
		}
		n++
		out = append(out, strings.Replace(v[0], v[1], "", 1))
	}
	if n == 0 && strings.Contains(s, "%%") {
		out = append(out, "%% without a blank")
	}
	sort.Strings(out)
	return out
}

func TestLanguageCodes(t *testing.T) {
	for _, c := range []struct {
		code, want string
		ok         bool
	}{{"", "Leg 3", true}, {"en_GB.UTF-8", "Leg 3", true}, {"DE", "Etappe 3", true}, {"es-MX", "Tramo 3", true}, {"fr", "Tronçon 3", true}, {"xx", "", false}} {
		w, ok := Language(c.code)
		if ok != c.ok || ok && w.T("leg_n", 3) != c.want {
			t.Errorf("language %q: found %v, leg 3 is %q; want %v, %q", c.code, ok, w.T("leg_n", 3), c.ok, c.want)
		}
	}
}

// A table handed in may lack sentences: they stand in English, and a key that nobody has is a slip of our own.
func TestMissingSentencesStandInEnglish(t *testing.T) {
	w := Words{table: map[string]string{"leg_n": "Teil %d"}}
	if got := w.T("leg_n", 2) + ", " + w.T("load_list"); got != "Teil 2, Load list" {
		t.Errorf("a short table gave %q, want its own sentence and the English one", got)
	}
	defer func() {
		if recover() == nil {
			t.Error("an unknown key gave no panic")
		}
	}()
	w.T("no such key")
}

// Every ground and every kind of help that papers name has its word.
func TestEveryClassHasAWord(t *testing.T) {
	w, _ := Language("fr")
	for g := range geo.NumGrounds {
		if w.ground(g) == "" {
			t.Errorf("ground %s has no word", g.Key())
		}
	}
	for _, k := range []geo.HelpKind{geo.HelpMedical, geo.HelpPolice, geo.HelpPhone, geo.HelpSettlement, geo.HelpHut} {
		w.T("help_" + k.Key())
	}
	for _, p := range append(append([]string(nil), placeOrder...), "") {
		w.T("place_" + p)
	}
}

func TestLegNamesAndLists(t *testing.T) {
	w, _ := Language("en")
	for _, c := range []struct {
		name, want string
	}{{"", "Leg 4"}, {"Leg 4", "Leg 4"}, {"Old mill", "Leg 4 · Old mill"}, {"Old\nmill", "Leg 4 · Old mill"}} {
		if got := w.legTitle(3, facts.Facts{Name: c.name}); got != c.want {
			t.Errorf("leg named %q is titled %q, want %q", c.name, got, c.want)
		}
	}
	for _, c := range []struct {
		legs []int
		want string
	}{{[]int{3}, "Leg 3"}, {[]int{3, 4}, "Legs 3, 4"}, {[]int{1, 3, 4, 5, 9}, "Legs 1, 3–5, 9"}} {
		if got := w.legs(c.legs); got != c.want {
			t.Errorf("legs %v are written %q, want %q", c.legs, got, c.want)
		}
	}
}
