package catalogue

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"lastroad/geo"
	"lastroad/geo/table"
)

// source is one table file with what is needed to name a place in it.
type source struct {
	data  []byte
	file  string
	lines []string         // trimmed
	heads map[string][]int // lines of each header such as "[[item]]", counted from 1
}

func newSource(data []byte, file string) source {
	s := source{data: data, file: file, lines: strings.Split(string(data), "\n"), heads: map[string][]int{}}
	for i, l := range s.lines {
		s.lines[i] = strings.TrimSpace(l)
		if strings.HasPrefix(s.lines[i], "[") {
			s.heads[s.lines[i]] = append(s.heads[s.lines[i]], i+1)
		}
	}
	return s
}

// decode reads the file strictly into v.
func (s source) decode(v any) error {
	d := toml.NewDecoder(bytes.NewReader(s.data))
	d.DisallowUnknownFields()
	err := d.Decode(v)
	var strict *toml.StrictMissingError
	var bad *toml.DecodeError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &strict) && len(strict.Errors) > 0:
		e := strict.Errors[0]
		row, _ := e.Position()
		return &geo.InputError{File: s.file, Where: fmt.Sprintf("line %d", row), Reason: fmt.Sprintf("%q is not a field that is known here", strings.Join(e.Key(), "."))}
	case errors.As(err, &bad):
		row, _ := bad.Position()
		return &geo.InputError{File: s.file, Where: fmt.Sprintf("line %d", row), Reason: table.Plain(bad)}
	}
	return &geo.InputError{File: s.file, Reason: "cannot be read as TOML", Err: err}
}

// block is the line of the n-th (from 0) header such as "[[item]]"; 0 when there is none.
func (s source) block(header string, n int) int {
	if h := s.heads[header]; n < len(h) {
		return h[n]
	}
	return 0
}

// field is the line of a field inside the block that starts at line from, or that line itself.
func (s source) field(from int, name string) int {
	for i := from; i < len(s.lines); i++ {
		l := s.lines[i]
		if strings.HasPrefix(l, "[") && i >= from && from > 0 {
			break
		}
		if rest, ok := strings.CutPrefix(l, name); ok && strings.HasPrefix(strings.TrimSpace(rest), "=") {
			return i + 1
		}
	}
	return max(from, 1)
}

// refuse is an error at a line of the file.
func (s source) refuse(line int, format string, a ...any) error {
	return &geo.InputError{File: s.file, Where: fmt.Sprintf("line %d", line), Reason: fmt.Sprintf(format, a...)}
}

// triple makes a figure of three numbers and checks it; least and most bound its values.
func (s source) triple(line int, what string, v []float64, unit string, from geo.Provenance, src string, least, most float64) (geo.Figure, error) {
	if len(v) != 3 {
		return geo.Figure{}, s.refuse(line, "%s has %d numbers, want low, central and high", what, len(v))
	}
	f := geo.Figure{Low: v[0], Central: v[1], High: v[2], Unit: unit, From: from, Source: src}
	return f, s.check(line, what, f, least, most)
}

func (s source) check(line int, what string, f geo.Figure, least, most float64) error {
	if err := f.Check(); err != nil {
		return s.refuse(line, "%s: %s", what, err)
	}
	if f.Low < least || f.High > most {
		return s.refuse(line, "%s: %g to %g is outside %g to %g", what, f.Low, f.High, least, most)
	}
	return nil
}
