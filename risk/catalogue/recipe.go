package catalogue

import (
	"slices"
	"strconv"
	"strings"

	"lastroad/geo"
)

// EventRecipes lists, for every event, the recipes that can end it, in file order.
func (c *Catalogue) EventRecipes() [][]int {
	out := make([][]int, len(c.Events))
	for i := range c.Recipes {
		for _, e := range c.Recipes[i].Events {
			out[e] = append(out[e], i)
		}
	}
	return out
}

func (c *Catalogue) readRecipes(s source) error {
	var f struct {
		Recipe []struct {
			Key       string         `toml:"key"`
			Title     string         `toml:"title"`
			Events    []string       `toml:"events"`
			Needs     [][]string     `toml:"needs"`
			Skill     string         `toml:"skill"`
			Unskilled *float64       `toml:"unskilled"`
			People    int            `toml:"people"`
			Anchor    string         `toml:"anchor"`
			Daylight  bool           `toml:"daylight"`
			Method    string         `toml:"method"`
			Partner   bool           `toml:"partner"`
			Minutes   []float64      `toml:"minutes"`
			Chance    []float64      `toml:"chance"`
			From      geo.Provenance `toml:"from"`
			Source    string         `toml:"source"`
		} `toml:"recipe"`
	}
	if err := s.decode(&f); err != nil {
		return err
	}
	seen := map[string]bool{}
	for i, t := range f.Recipe {
		at := s.block("[[recipe]]", i)
		r := Recipe{Key: t.Key, Title: t.Title, Skill: -1, Unskilled: 1, People: max(1, t.People), Anchor: t.Anchor, Daylight: t.Daylight, Method: t.Method, Partner: t.Partner}
		switch {
		case t.Key == "" || t.Title == "":
			return s.refuse(at, "a recipe needs key and title")
		case seen[t.Key]:
			return s.refuse(s.field(at, "key"), "recipe %s is there twice", t.Key)
		case !slices.Contains(Methods, t.Method):
			return s.refuse(s.field(at, "method"), "recipe %s: method %q is not known", t.Key, t.Method)
		case !slices.Contains([]string{"", "natural", "ground", "buried", "partner"}, t.Anchor):
			return s.refuse(s.field(at, "anchor"), "recipe %s: anchor %q is not known", t.Key, t.Anchor)
		}
		seen[t.Key] = true
		var err error
		if r.Chance, err = s.triple(s.field(at, "chance"), "chance of recipe "+t.Key, t.Chance, "1", t.From, t.Source, 0, 1); err != nil {
			return err
		}
		if r.Minutes, err = s.triple(s.field(at, "minutes"), "minutes of recipe "+t.Key, t.Minutes, "min", t.From, t.Source, 0, 1e5); err != nil {
			return err
		}
		if err := c.recipeEvents(s, at, &r, t.Events); err != nil {
			return err
		}
		if err := c.recipeNeeds(s, at, &r, t.Needs); err != nil {
			return err
		}
		if t.Skill != "" {
			k, ok := c.skill[t.Skill]
			if !ok {
				return s.refuse(s.field(at, "skill"), "recipe %s asks for skill %q, which is not in the table", t.Key, t.Skill)
			}
			if t.Unskilled == nil || !(*t.Unskilled >= 0 && *t.Unskilled <= 1) {
				return s.refuse(s.field(at, "unskilled"), "recipe %s: unskilled must say, between 0 and 1, what is left of the chance without the skill", t.Key)
			}
			r.Skill, r.Unskilled = k, *t.Unskilled
		}
		c.Recipes = append(c.Recipes, r)
	}
	for e, rs := range c.EventRecipes() {
		if n := len(rs); n > 0 {
			continue
		}
		return s.refuse(1, "event %s has no recipe at all, not even one that fails", c.Events[e].Key)
	}
	return nil
}

func (c *Catalogue) recipeEvents(s source, at int, r *Recipe, keys []string) error {
	for _, k := range keys {
		if k == "*vehicle" {
			for e := range c.Events {
				if c.Events[e].Help == "vehicle" {
					r.Events = append(r.Events, e)
				}
			}
			continue
		}
		e, ok := c.event[k]
		if !ok {
			return s.refuse(s.field(at, "events"), "recipe %s ends %q, which is not an event", r.Key, k)
		}
		r.Events = append(r.Events, e)
	}
	if len(r.Events) == 0 {
		return s.refuse(at, "recipe %s ends no event", r.Key)
	}
	return nil
}

func (c *Catalogue) recipeNeeds(s source, at int, r *Recipe, needs [][]string) error {
	line := s.field(at, "needs")
	for _, alternatives := range needs {
		var n Need
		for _, a := range alternatives {
			a, kept := strings.CutSuffix(a, " kept")
			key, count, many := strings.Cut(a, "*")
			q := 1.0
			if many {
				v, err := strconv.ParseFloat(count, 64)
				if err != nil || !(v > 0 && v <= 1000) {
					return s.refuse(line, "recipe %s: count %q of %s is not a number above 0", r.Key, count, key)
				}
				q = v
			}
			i, ok := c.item[key]
			if !ok {
				return s.refuse(line, "recipe %s asks for %q, which is not an item", r.Key, key)
			}
			n = append(n, Portion{i, q, kept})
		}
		if len(n) == 0 {
			return s.refuse(line, "recipe %s has a need without an item", r.Key)
		}
		r.Needs = append(r.Needs, n)
	}
	return nil
}
