package window

import (
	"encoding/json"
	"flag"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"testing"

	"lastroad/app/papers"
	"lastroad/geo"
	"lastroad/risk/recovery"
)

var keysFile = flag.String("keys", "", "write the sentences of the window to this file, one a line, as JSON strings")

// sentences are all texts that the window hands to tr as constants, and those that it hands on from the
// ground classes and the tables of skills and vehicle classes.
func sentences(t *testing.T) []string {
	t.Helper()
	set := map[string]bool{}
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) == 0 {
				return true
			}
			if id, ok := call.Fun.(*ast.Ident); ok && id.Name == "tr" {
				if lit, ok := call.Args[0].(*ast.BasicLit); ok && lit.Kind == token.STRING {
					s, err := strconv.Unquote(lit.Value)
					if err != nil {
						t.Fatal(err)
					}
					set[s] = true
				}
			}
			return true
		})
	}
	for g := range geo.NumGrounds {
		set[g.String()] = true
	}
	cat := realDesk().Catalogue()
	for _, s := range cat.Skills {
		set[s.Title] = true
	}
	for _, c := range cat.Vehicles.Classes {
		set[c.Title] = true
	}
	for _, c := range cat.Climates.List {
		set[c.Title] = true
	}
	for _, r := range cat.Supply.ReserveRules() {
		set[r.Title] = true
	}
	for _, i := range cat.Items {
		if i.Place != "" {
			set[i.Place] = true
		}
		if i.Unit != "" && i.Unit != "piece" {
			set[i.Unit] = true
		}
	}
	for _, s := range recoveryTerms {
		set[s] = true
	}
	for _, k := range recovery.Kinds {
		set[k.String()] = true
	}
	for _, k := range recovery.AnchorKinds {
		set[k.String()] = true
	}
	for d := range recovery.NumDepths {
		set[d.String()] = true
	}
	for _, p := range papers.List {
		set[p.Title] = true
	}
	var out []string
	for s := range set {
		out = append(out, s)
	}
	sort.Strings(out)
	return out
}

var hole = regexp.MustCompile(`\{\{\.[A-Za-z]+\}\}`)

// TestTranslations: every language has every sentence, with the same places to fill, and none that is not
// used any more.
func TestTranslations(t *testing.T) {
	want := sentences(t)
	if *keysFile != "" {
		b, _ := json.MarshalIndent(want, "", "  ")
		if err := os.WriteFile(*keysFile, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, lang := range []string{"en", "de", "es", "fr"} {
		b, err := translations.ReadFile("translations/" + lang + ".json")
		if err != nil {
			t.Errorf("there is no %s", lang)
			continue
		}
		var have map[string]string
		if err := json.Unmarshal(b, &have); err != nil {
			t.Errorf("%s: %v", lang, err)
			continue
		}
		for _, s := range want {
			v, ok := have[s]
			switch {
			case !ok || v == "":
				t.Errorf("%s has nothing for %q", lang, s)
				continue
			case lang == "en" && v != s:
				t.Errorf("en says %q for %q; English sentences are their own keys", v, s)
			}
			a, b := hole.FindAllString(s, -1), hole.FindAllString(v, -1)
			sort.Strings(a)
			sort.Strings(b)
			if strings.Join(a, "") != strings.Join(b, "") {
				t.Errorf("%s: %q has the places %v, want %v", lang, v, b, a)
			}
			delete(have, s)
		}
		for s := range have {
			t.Errorf("%s has %q, which the window does not say", lang, s)
		}
	}
}
