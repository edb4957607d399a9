package window

import (
	"embed"
	"encoding/json"
	"strings"
	"sync"

	"fyne.io/fyne/v2/lang"
)

//go:embed translations
var translations embed.FS

// shown is the language of the window, "de". The first call loads the translations: they are of no use to a
// verb, which must not hear what the toolkit has to say of the system's locale either.
var shown = sync.OnceValue(func() string {
	// A broken file would show as untranslated English; the test of the translations finds it.
	_ = lang.AddTranslationsFS(translations, "translations")
	l, _, _ := strings.Cut(lang.SystemLocale().LanguageString(), "-")
	return l
})

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
	shown()
	return lang.L(sentence, data...)
}

// decimalComma is true where the language shown writes 1,5 and not 1.5.
func decimalComma() bool {
	switch shown() {
	case "de", "es", "fr":
		return true
	}
	return false
}

// point puts the language's decimal mark into a number written with a point.
func point(s string) string {
	if decimalComma() {
		return strings.Replace(s, ".", ",", 1)
	}
	return s
}

// said is what is said of something, with the colon between them as the language sets it.
func said(what, text string) string {
	return tr("{{.What}}: {{.Text}}", map[string]any{"What": what, "Text": text})
}

// with is short for the data of one place.
func with(name string, v any) map[string]any { return map[string]any{name: v} }
