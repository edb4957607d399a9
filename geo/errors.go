package geo

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// InputError is bad or missing input: which file, where in it, what is wrong and what to do.
type InputError struct {
	File   string // base name as the user knows it; "" when the caller adds it
	Where  string // "line 214: trkpt 87", "blob 3", "byte 1024"; "" when the whole file
	Reason string // lower case, no full stop
	Remedy string // what the user can do; "" when Reason says it
	Err    error  // cause, may be nil
}

// Error joins the parts with colons on one line. What it quotes of a damaged file may hold anything: bytes that
// cannot be printed are shown as ?, white space of any kind as a blank, so that the line stays one and no terminal
// takes it for a command; a part that goes on and on is cut.
func (e *InputError) Error() string {
	s := short(e.File)
	for _, p := range []string{e.Where, e.Reason} {
		if p == "" {
			continue
		}
		if s != "" {
			s += ": "
		}
		s += short(p)
	}
	if e.Err != nil {
		s += " (" + short(e.Err.Error()) + ")"
	}
	if e.Remedy != "" {
		s += "; " + e.Remedy
	}
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case r == utf8.RuneError || !unicode.IsPrint(r):
			return '?'
		}
		return r
	}, s)
}

// mostQuoted is the length in bytes beyond which a part of an error is cut, for it quotes its file at length.
const mostQuoted = 400

func short(s string) string {
	if len(s) <= mostQuoted {
		return s
	}
	return strings.ToValidUTF8(s[:mostQuoted], "") + "..."
}

// Unwrap gives the cause.
func (e *InputError) Unwrap() error { return e.Err }
