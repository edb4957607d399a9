package window

import (
	"os"
	"os/exec"
	"strings"
	"testing"
)

// TestLoadingIsQuiet: a program that holds the window and does not open it says nothing of the locale, whatever
// the locale is.
func TestLoadingIsQuiet(t *testing.T) {
	for _, l := range []string{"C", "C.UTF-8", "POSIX", "de_DE.UTF-8"} {
		c := exec.Command(os.Args[0], "-test.run=^$")
		for _, v := range os.Environ() {
			if n, _, _ := strings.Cut(v, "="); n != "LANG" && n != "LANGUAGE" && !strings.HasPrefix(n, "LC_") {
				c.Env = append(c.Env, v)
			}
		}
		c.Env = append(c.Env, "LANG="+l)
		out, err := c.CombinedOutput()
		if err != nil || strings.Contains(string(out), "Fyne error") {
			t.Errorf("under %s: %v\n%s", l, err, out)
		}
	}
}
