package window

import (
	"embed"

	"fyne.io/fyne/v2/lang"
)

//go:embed translations
var translations embed.FS

func init() {
	// A broken file would show as untranslated English; the test of the translations finds it.
	_ = lang.AddTranslationsFS(translations, "translations")
}

// tr translates a sentence; data fills its {{.Name}} places.
func tr(sentence string, data ...any) string { return lang.L(sentence, data...) }

// with is short for the data of one place.
func with(name string, v any) map[string]any { return map[string]any{name: v} }
