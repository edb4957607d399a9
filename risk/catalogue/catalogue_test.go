package catalogue

import (
	"testing"

	"lastroad/assets"
)

func load(t testing.TB) *Catalogue {
	t.Helper()
	c, err := Load(assets.Table)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestLoad(t *testing.T) {
	c := load(t)
	if len(c.Items) < 70 || len(c.Recipes) < 60 || len(c.Events) < 25 {
		t.Errorf("%d items, %d recipes, %d events; want at least 70, 60 and 25", len(c.Items), len(c.Recipes), len(c.Events))
	}
	t.Log(len(c.Items), len(c.Recipes), len(c.Events))
}
