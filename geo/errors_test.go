package geo

import (
	"errors"
	"strings"
	"testing"
)

func TestInputErrorIsOnePrintableLine(t *testing.T) {
	cause := errors.New("a\tcause")
	for _, c := range []struct {
		e    InputError
		want string
	}{
		{InputError{File: "a.gpx", Where: "line 3", Reason: "is cut off", Remedy: "export it again", Err: cause}, "a.gpx: line 3: is cut off (a cause); export it again"},
		{InputError{Reason: "is empty"}, "is empty"},
		{InputError{File: "b\x1b[31m\xff.gpx", Reason: "closes <tr\nk>"}, "b?[31m?.gpx: closes <tr k>"},
		{InputError{File: "c.json", Reason: "is no number", Err: errors.New(strings.Repeat("9", 399) + "ü" + strings.Repeat("9", 1e6))}, "c.json: is no number (" + strings.Repeat("9", 399) + "...)"},
		{InputError{File: "Zürich – 東.gpx", Reason: "is empty"}, "Zürich – 東.gpx: is empty"},
	} {
		if got := c.e.Error(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	if e := (&InputError{Reason: "x", Err: cause}); !errors.Is(e, cause) {
		t.Error("the cause is lost")
	}
}
