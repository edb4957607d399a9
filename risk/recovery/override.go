package recovery

import (
	"fmt"
	"maps"
	"reflect"
	"slices"

	"lastroad/geo"
	"lastroad/geo/table"
)

// Override gives a copy of t in which the figure at path (as [Tables.Figures] names it) is f. It refuses an
// unknown path, another unit and a figure that fails [geo.Figure.Check].
func (t *Tables) Override(path string, f geo.Figure) (*Tables, error) {
	c := *t
	c.own()
	found := false
	var fault error
	table.Figures(&c, func(p string, old *geo.Figure) {
		if p != path {
			return
		}
		found = true
		switch err := f.Check(); {
		case err != nil:
			fault = &geo.InputError{Where: path, Reason: err.Error()}
		case f.Unit != old.Unit:
			fault = &geo.InputError{Where: path, Reason: fmt.Sprintf("unit %q is not %q", f.Unit, old.Unit)}
		default:
			*old = f
		}
	})
	if fault == nil && !found {
		fault = &geo.InputError{Where: path, Reason: "no figure has this name"}
	}
	if fault != nil {
		return nil, fault
	}
	return &c, nil
}

// own gives the tables maps and lists of figures of their own, so that a change does not reach the tables
// that they were copied from.
func (t *Tables) own() {
	v := reflect.ValueOf(t).Elem()
	for i := range v.NumField() {
		switch x := v.Field(i).Addr().Interface().(type) {
		case *ByGround:
			*x = maps.Clone(*x)
		case *map[string]geo.Figure:
			*x = maps.Clone(*x)
		case *[]PicketRow:
			*x = slices.Clone(*x)
		case *[]FordRow:
			*x = slices.Clone(*x)
		}
	}
}
