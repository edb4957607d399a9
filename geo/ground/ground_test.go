package ground

import (
	"testing"

	"lastroad/assets"
)

func tables(tb testing.TB) (*Rules, *Ways) {
	tb.Helper()
	r, err := ParseRules(assets.Table("ground"))
	if err != nil {
		tb.Fatal(err)
	}
	w, err := ParseWays(assets.Table("ways"))
	if err != nil {
		tb.Fatal(err)
	}
	return r, w
}

func TestTables(t *testing.T) { tables(t) }
