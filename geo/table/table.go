// Package table reads the TOML files that hold the program's numbers.
//
// [Decode] is strict: an unknown key, a [geo.Figure] without provenance or out of order, and a table
// of cells without from and source are refused with file, line and reason. [Figures] lists every
// figure of a decoded table by its path, so that all of them can be shown and overridden.
package table

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"lastroad/geo"
)

// Document is a read file that still knows on which line each key stands.
type Document struct {
	file string
	line map[string]int // "fuel.unusable", "rolling.2.crr" (array tables count from 1)
}

// Decode reads data strictly into v, a pointer to a struct with toml tags, and checks every figure
// and every from and source in it. file is the name used in errors, which are of type [geo.InputError].
func Decode(data []byte, file string, v any) (*Document, error) {
	doc := &Document{file: file, line: lines(data)}
	dec := toml.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		var strict *toml.StrictMissingError
		var bad *toml.DecodeError
		switch {
		case errors.As(err, &strict) && len(strict.Errors) > 0:
			row, _ := strict.Errors[0].Position()
			return nil, &geo.InputError{File: file, Where: fmt.Sprintf("line %d", row),
				Reason: strings.Join(strict.Errors[0].Key(), ".") + " is not a key of this table"}
		case errors.As(err, &bad):
			row, _ := bad.Position()
			return nil, &geo.InputError{File: file, Where: fmt.Sprintf("line %d", row),
				Reason: Plain(bad)}
		}
		return nil, &geo.InputError{File: file, Reason: "cannot be read as TOML", Err: err}
	}
	var fault error
	visit(reflect.ValueOf(v).Elem(), "", func(path string, x reflect.Value) bool {
		fault = doc.check(path, x)
		return fault == nil
	})
	if fault != nil {
		return nil, fault
	}
	return doc, nil
}

// Fault is an error of meaning at a path such as "daily.rest_shade": it points at the line of the
// path or of the nearest table that holds it. What follows a blank in the path ("row.3 at 0.5 m") is
// said but not looked up.
func (d *Document) Fault(path, reason string) error {
	where := ""
	for p, _, _ := strings.Cut(path, " "); p != ""; {
		if n, ok := d.line[p]; ok {
			where = fmt.Sprintf("line %d", n)
			break
		}
		p = p[:max(0, strings.LastIndexByte(p, '.'))]
	}
	if path != "" {
		reason = path + ": " + reason
	}
	return &geo.InputError{File: d.file, Where: where, Reason: reason}
}

// Figures calls yield with the path of every figure below v (a pointer to a decoded struct) in the
// order of the struct's fields. The pointer may be written through to override the figure.
func Figures(v any, yield func(path string, f *geo.Figure)) {
	visit(reflect.ValueOf(v).Elem(), "", func(path string, x reflect.Value) bool {
		if f, ok := x.Addr().Interface().(*geo.Figure); ok {
			yield(path, f)
		}
		return true
	})
}

func (d *Document) check(path string, x reflect.Value) error {
	switch v := x.Addr().Interface().(type) {
	case *geo.Figure:
		if err := v.Check(); err != nil {
			return d.Fault(path, err.Error())
		}
	case *geo.Provenance:
		if *v == "" {
			return d.Fault(path, fmt.Sprintf("is missing; add from = %q or another kind", geo.FromAssumption))
		}
		if !v.Valid() {
			return d.Fault(path, fmt.Sprintf("provenance %q is not known", *v))
		}
	case *string:
		if *v == "" && (path == "source" || strings.HasSuffix(path, ".source")) {
			return d.Fault(path, "is missing; say where the numbers come from or how they were judged")
		}
	case *float64:
		if math.IsNaN(*v) || math.IsInf(*v, 0) {
			return d.Fault(path, "must be a finite number")
		}
	}
	return nil
}

var figure = reflect.TypeFor[geo.Figure]()

// visit calls f for every leaf, a figure being a leaf, until f says stop.
func visit(v reflect.Value, path string, f func(string, reflect.Value) bool) bool {
	join := func(k string) string {
		if path == "" {
			return k
		}
		return path + "." + k
	}
	switch {
	case v.Type() == figure:
		return f(path, v)
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			key, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("toml"), ",")
			if key == "" || key == "-" {
				continue
			}
			if !visit(v.Field(i), join(key), f) {
				return false
			}
		}
		return true
	case v.Kind() == reflect.Slice || v.Kind() == reflect.Array:
		for i := range v.Len() {
			if !visit(v.Index(i), join(strconv.Itoa(i+1)), f) {
				return false
			}
		}
		return true
	case v.Kind() == reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, k := range keys {
			// A value in a map cannot be changed in place: visit a copy, and put it back when it was changed.
			x := reflect.New(v.Type().Elem()).Elem()
			x.Set(v.MapIndex(k))
			more := visit(x, join(k.String()), f)
			if x.Comparable() && !x.Equal(v.MapIndex(k)) {
				v.SetMapIndex(k, x)
			}
			if !more {
				return false
			}
		}
		return true
	}
	return f(path, v)
}

// lines maps dotted keys to line numbers; what follows a syntax error is left out.
func lines(data []byte) map[string]int {
	out, count := map[string]int{}, map[string]int{}
	var p unstable.Parser
	p.Reset(data)
	prefix := ""
	at, row := 0, 1 // keys come in the order of the file: count the lines once
	for p.NextExpression() {
		e := p.Expression()
		if e.Kind != unstable.Table && e.Kind != unstable.ArrayTable && e.Kind != unstable.KeyValue {
			continue
		}
		var parts []string
		for it := e.Key(); it.Next(); {
			n := it.Node()
			if begin := int(n.Raw.Offset); len(parts) == 0 && begin > at {
				row += bytes.Count(data[at:begin], []byte{'\n'})
				at = begin
			}
			parts = append(parts, string(n.Data))
		}
		key := strings.Join(parts, ".")
		switch e.Kind {
		case unstable.Table:
			prefix = key
		case unstable.ArrayTable:
			if count[key]++; count[key] == 1 {
				out[key] = row
			}
			prefix = key + "." + strconv.Itoa(count[key])
		default:
			if prefix != "" {
				key = prefix + "." + key
			}
			out[key] = row
			continue
		}
		out[prefix] = row
	}
	return out
}
