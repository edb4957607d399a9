package trip

import (
	"errors"
	"os"
	"regexp"
	"strings"
	"testing"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/survey"
	"lastroad/risk/catalogue"
	"lastroad/risk/supply"
)

// builtinTables are all files of assets/tables.
func builtinTables(t *testing.T) []string {
	t.Helper()
	list, err := os.ReadDir("../../assets/tables")
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range list {
		if n, ok := strings.CutSuffix(f.Name(), ".toml"); ok {
			names = append(names, n)
		}
	}
	if len(names) < 12 {
		t.Fatalf("%d tables, want all", len(names))
	}
	return names
}

// loadWith loads all tables, one of them with other text.
func loadWith(name, text string) error {
	table := func(n string) ([]byte, string) {
		if n == name {
			return []byte(text), n + ".toml"
		}
		return assets.Table(n)
	}
	if _, err := catalogue.Load(table); err != nil {
		return err
	}
	if _, err := supply.ParseClimate(table("climate")); err != nil {
		return err
	}
	_, err := survey.ParseTables(table)
	return err
}

// A key with a text behind it, in a line of its own or among others in one line.
var provenance = regexp.MustCompile(`(?m)(^[ \t]*(from|source)[ \t]*=[ \t]*"(?:[^"\\\n]|\\.)*"[ \t]*(#.*)?$\n)|(,[ \t]*(from|source)[ \t]*=[ \t]*"(?:[^"\\\n]|\\.)*")|((from|source)[ \t]*=[ \t]*"(?:[^"\\\n]|\\.)*"[ \t]*,)`)

// The first provenance that is not in a comment.
var stated = regexp.MustCompile(`(?m)^[^#\n]*\bfrom[ \t]*=[ \t]*"([^"\n]*)"`)

// TestNoNumberWithoutProvenance takes the provenance or the source away from one number after another, in every
// table, and expects that the table is refused by name and line. Of each table some twenty places are tried, all of them with LASTROAD_LONG=1.
func TestNoNumberWithoutProvenance(t *testing.T) {
	for _, name := range builtinTables(t) {
		data, file := assets.Table(name)
		text := string(data)
		if err := loadWith(name, text); err != nil {
			t.Fatalf("%s does not load as it is: %v", file, err)
		}
		places := provenance.FindAllStringIndex(text, -1)
		if len(places) < 2 {
			t.Errorf("%s: %d places with a provenance or source, want two at least", file, len(places))
		}
		stride := 1
		if os.Getenv("LASTROAD_LONG") != "1" {
			stride = 1 + len(places)/20
			if stride%2 == 0 {
				stride++ // from and source stand in turn: meet both
			}
		}
		for i := 0; i < len(places); i += stride {
			from, to := places[i][0], places[i][1]
			line := 1 + strings.Count(text[:from], "\n")
			err := loadWith(name, text[:from]+text[to:])
			switch {
			case err == nil:
				t.Errorf("%s:%d: loads without %s", file, line, strings.TrimSpace(text[from:to]))
			case !strings.Contains(err.Error(), file):
				t.Errorf("%s:%d: the refusal does not name the file: %v", file, line, err)
			default:
				var bad *geo.InputError
				if !errors.As(err, &bad) || bad.Where == "" {
					t.Errorf("%s:%d: the refusal names no place: %v", file, line, err)
				}
			}
		}
		// An empty text is no provenance either.
		if at := stated.FindStringSubmatchIndex(text); at != nil {
			if loadWith(name, text[:at[2]]+text[at[3]:]) == nil {
				t.Errorf("%s: loads with an empty provenance", file)
			}
			if loadWith(name, text[:at[2]]+"hearsay"+text[at[3]:]) == nil {
				t.Errorf("%s: loads with a provenance that does not exist", file)
			}
		}
	}
}
