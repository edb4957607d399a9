package table_test

import (
	"strings"
	"testing"

	"lastroad/geo"
	"lastroad/geo/table"
)

func TestPlain(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"n = \"x\"", "x: line 1: n: a text stands where a number is wanted"},
		{"s = 3", "x: line 1: s: a number stands where a text is wanted"},
		{"b = 1.5", "x: line 1: b: a number stands where true or false is wanted"},
		{"list = \"x\"", "x: line 1: list: a text stands where a list is wanted"},
		{"\nrows = [1.0]", "x: line 2: rows: a number stands where a table is wanted"},
		{"fig = true", "x: line 1: fig: true or false stands where a table is wanted"},
		{"s = \"open", "x: line 1: "},
	} {
		var v struct {
			N    float64   `toml:"n"`
			S    string    `toml:"s"`
			B    bool      `toml:"b"`
			List []float64 `toml:"list"`
			Rows []struct {
				A float64 `toml:"a"`
			} `toml:"rows"`
			Fig *geo.Figure `toml:"fig"`
		}
		_, err := table.Decode([]byte(c.text), "x", &v)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) || strings.Contains(err.Error(), "struct") {
			t.Errorf("%q: %v, want %q", c.text, err, c.want)
		}
	}
}
