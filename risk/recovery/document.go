package recovery

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"lastroad/geo"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// A document is a parsed table file that still knows on which line each key stands, so that an error
// of meaning can point at its place as an error of syntax does.
type document struct {
	file string
	line map[string]int // "surface.mud", "picket.2.hold" (array tables count from 1)
}

// decode reads TOML strictly into v and checks every figure and provenance found in it.
func decode(data []byte, file string, v any) (*document, error) {
	doc := &document{file: file, line: lines(data)}
	dec := toml.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		var strict *toml.StrictMissingError
		var bad *toml.DecodeError
		switch {
		case errors.As(err, &strict) && len(strict.Errors) > 0:
			row, _ := strict.Errors[0].Position()
			return nil, &geo.InputError{File: file, Where: fmt.Sprintf("line %d", row),
				Reason: fmt.Sprintf("%s is not a key of this table", strings.Join(strict.Errors[0].Key(), "."))}
		case errors.As(err, &bad):
			row, _ := bad.Position()
			return nil, &geo.InputError{File: file, Where: fmt.Sprintf("line %d", row), Reason: strings.TrimPrefix(bad.Error(), "toml: ")}
		}
		return nil, &geo.InputError{File: file, Reason: "cannot be read as TOML", Err: err}
	}
	return doc, doc.walk(reflect.ValueOf(v).Elem(), "")
}

// fault is an error of meaning at a path.
func (d *document) fault(path, reason string) error {
	where := ""
	p := path
	if i := strings.IndexByte(p, ' '); i >= 0 {
		p = p[:i]
	}
	for p != "" {
		if n, ok := d.line[p]; ok {
			where = fmt.Sprintf("line %d", n)
			break
		}
		i := strings.LastIndexByte(p, '.')
		if i < 0 {
			break
		}
		p = p[:i]
	}
	if path != "" {
		reason = path + ": " + reason
	}
	return &geo.InputError{File: d.file, Where: where, Reason: reason}
}

// exactly checks that the named figures and no others are there.
func (d *document) exactly(table string, have map[string]geo.Figure, want []string) error {
	for _, k := range want {
		if _, ok := have[k]; !ok {
			return d.fault(table+"."+k, "is missing")
		}
	}
	for _, k := range sortedKeys(have) {
		if !slices.Contains(want, k) {
			return d.fault(table+"."+k, "is not a key of this table")
		}
	}
	return nil
}

var figureType = reflect.TypeFor[geo.Figure]()

// walk checks every geo.Figure and every From/Source pair below v, maps in key order.
func (d *document) walk(v reflect.Value, path string) error {
	if v.Type() == figureType {
		f := v.Interface().(geo.Figure)
		if err := f.Check(); err != nil {
			return d.fault(path, err.Error())
		}
		return nil
	}
	join := func(k string) string {
		if path == "" {
			return k
		}
		return path + "." + k
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			key, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("toml"), ",")
			if key == "" || key == "-" {
				continue
			}
			if p, ok := v.Field(i).Interface().(geo.Provenance); ok && !p.Valid() {
				return d.fault(path, fmt.Sprintf("provenance %q is not known", p))
			}
			if key == "source" && v.Field(i).String() == "" {
				return d.fault(path, "has no source; say where the numbers come from or how they were judged")
			}
			if err := d.walk(v.Field(i), join(key)); err != nil {
				return err
			}
		}
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, k := range keys {
			if err := d.walk(v.MapIndex(k), join(k.String())); err != nil {
				return err
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if err := d.walk(v.Index(i), join(strconv.Itoa(i+1))); err != nil {
				return err
			}
		}
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			return d.fault(path, "must be a finite number")
		}
	}
	return nil
}

// lines maps dotted keys to line numbers. It never fails: a document that cannot be parsed gives what
// was read up to the fault.
func lines(data []byte) map[string]int {
	out := map[string]int{}
	count := map[string]int{}
	var p unstable.Parser
	p.Reset(data)
	prefix := ""
	for p.NextExpression() {
		e := p.Expression()
		if e.Kind != unstable.KeyValue && e.Kind != unstable.Table && e.Kind != unstable.ArrayTable {
			continue
		}
		var parts []string
		line := 0
		for it := e.Key(); it.Next(); {
			n := it.Node()
			parts = append(parts, string(n.Data))
			if line == 0 {
				line = 1 + bytes.Count(data[:offset(data, n.Data)], []byte{'\n'})
			}
		}
		key := strings.Join(parts, ".")
		switch e.Kind {
		case unstable.Table:
			prefix = key
		case unstable.ArrayTable:
			count[key]++
			key += "." + strconv.Itoa(count[key])
			prefix = key
		default:
			if prefix != "" {
				key = prefix + "." + key
			}
		}
		if _, ok := out[key]; !ok {
			out[key] = line
		}
	}
	return out
}

// offset is where the slice part begins inside data; 0 when it is a copy made by unescaping.
func offset(data, part []byte) int {
	if n := cap(data) - cap(part); n >= 0 && n < len(data) && len(part) > 0 && &data[n] == &part[0] {
		return n
	}
	return 0
}

// sortedKeys lists the keys of a map in order.
func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
