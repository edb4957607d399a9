package plot

import "testing"

// Languages that write 1,5 see it on the strip too.
func TestDecimalComma(t *testing.T) {
	for _, c := range []struct {
		comma bool
		want  string
	}{{false, "0.25"}, {true, "0,25"}} {
		d := &stripPen{st: StripStyle{Words: Words{Comma: c.comma}}}
		if got := d.number(0.25); got != c.want {
			t.Errorf("comma %t: %s, want %s", c.comma, got, c.want)
		}
	}
	if got := tickText(95.5, true); got != "95,5" {
		t.Errorf("a tick of the frontier is %s", got)
	}
}
