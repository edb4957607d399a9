package window

import (
	"embed"
	"encoding/json"
	"strings"

	"fyne.io/fyne/v2/lang"
)

//go:embed translations
var translations embed.FS

func init() {
	// A broken file would show as untranslated English; the test of the translations finds it.
	_ = lang.AddTranslationsFS(translations, "translations")
}

// known are the sentences that have translations. Others (names of things in the tables, a stranger's
// words) are shown as they are, without a complaint on the error stream for each.
var known = func() map[string]bool {
	var m map[string]string
	b, err := translations.ReadFile("translations/en.json")
	if err == nil {
		err = json.Unmarshal(b, &m)
	}
	if err != nil {
		return nil
	}
	set := make(map[string]bool, len(m))
	for k := range m {
		set[k] = true
	}
	return set
}()

// tr translates a sentence; data fills its {{.Name}} places.
func tr(sentence string, data ...any) string {
	if len(data) == 0 && !known[sentence] {
		return spoken(sentence)
	}
	return lang.L(sentence, data...)
}

// decimalComma is true where the language shown writes 1,5 and not 1.5.
var decimalComma = func() bool {
	switch l, _, _ := strings.Cut(lang.SystemLocale().LanguageString(), "-"); l {
	case "de", "es", "fr":
		return true
	}
	return false
}()

// point puts the language's decimal mark into a number written with a point.
func point(s string) string {
	if decimalComma {
		return strings.Replace(s, ".", ",", 1)
	}
	return s
}

// with is short for the data of one place.
func with(name string, v any) map[string]any { return map[string]any{name: v} }
