package locale

import "testing"

func TestInstead(t *testing.T) {
	for _, c := range []struct {
		name string
		env  map[string]string
		want bool
	}{
		{"a server's", map[string]string{"LANG": "C.UTF-8"}, true},
		{"all of it", map[string]string{"LC_ALL": "POSIX.UTF-8", "LANG": "de_DE.UTF-8"}, true},
		{"the first that is set counts", map[string]string{"LC_ALL": "de_DE.UTF-8", "LANG": "C.UTF-8"}, false},
		{"a language is named", map[string]string{"LANG": "C.UTF-8", "LANGUAGE": "fr"}, false},
		{"a country's", map[string]string{"LANG": "es_ES.UTF-8"}, false},
		{"plain C is understood", map[string]string{"LANG": "C"}, false},
		{"nothing", nil, false},
	} {
		if _, ok := instead(func(k string) string { return c.env[k] }); ok != c.want {
			t.Errorf("%s: %v, want %v", c.name, ok, c.want)
		}
	}
}
