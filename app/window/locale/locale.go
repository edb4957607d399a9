// Package locale names a language for systems that have none.
//
// Under the locale "C.UTF-8", which servers and containers have, the window's toolkit takes "C" for a language
// and complains on the error stream while the program is being loaded, before main and even for a verb that
// opens no window. This package is loaded before it and says that English is meant. It imports so little for
// that reason: packages are initialised in the order of their paths as soon as all that they import is.
package locale

import (
	"os"
	"strings"
)

func init() {
	if l, ok := instead(os.Getenv); ok {
		_ = os.Setenv("LANGUAGE", l) // without it there is a needless complaint, no more
	}
}

// instead is the value for LANGUAGE where the locale of the environment is the one without a language, but for
// how letters are written; ok is false where the environment names a language or nothing at all.
func instead(env func(string) string) (language string, ok bool) {
	if env("LANGUAGE") != "" {
		return "", false
	}
	for _, name := range []string{"LC_ALL", "LC_MESSAGES", "LANG"} {
		if v := env(name); v != "" {
			return "en", strings.HasPrefix(v, "C.") || strings.HasPrefix(v, "POSIX.")
		}
	}
	return "", false
}
