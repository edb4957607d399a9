package words

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// pattern is a sentence with blanks, known by its English format and said by that of another language.
type pattern struct {
	re    *regexp.Regexp // the first blanks as short as can be
	wide  *regexp.Regexp // the first blanks as long as can be
	text  []bool         // which blanks hold words and not figures
	fixed int            // letters outside the blanks
	parts []part         // of the other language
	start string         // what an English text must begin with
}

// part is a fixed text, or the blank with the given number.
type part struct {
	text  string
	blank int // -1 for a fixed text
}

var verb = regexp.MustCompile(`%(\[(\d+)\])?[-+# 0]*[0-9]*(\.[0-9]+)?([a-zA-Z%])`)

// number is what a blank for a figure holds.
const number = `([-+−]?(?:\d[\d.,]*(?:e[-+]?\d+)?|NaN|\?|[-+]?Inf))`

// compile makes a pattern of an English format and of one in another language with the same blanks; blanks in
// another order are numbered as package fmt does.
func compile(en, other string) (*pattern, error) {
	p := &pattern{}
	var re strings.Builder
	re.WriteString(`(?s)^`)
	at := 0
	first := true
	literal := func(s string) {
		s = strings.ReplaceAll(s, "%%", "%")
		if first && s != "" {
			p.start = s
		}
		p.fixed += len(s)
		re.WriteString(regexp.QuoteMeta(s))
	}
	for _, m := range verb.FindAllStringSubmatchIndex(en, -1) {
		kind := en[m[8]:m[9]]
		if kind == "%" {
			continue
		}
		literal(en[at:m[0]])
		first = false
		at = m[1]
		switch kind {
		case "d", "f", "g", "e":
			re.WriteString(number)
			p.text = append(p.text, false)
		case "s", "v", "w":
			re.WriteString(`(.+?)`)
			p.text = append(p.text, true)
		case "q":
			re.WriteString(`(".*?")`)
			p.text = append(p.text, false)
		default:
			return nil, fmt.Errorf("%q: blank %%%s is not known", en, kind)
		}
	}
	literal(en[at:])
	re.WriteString(`$`)
	var err error
	if p.re, err = regexp.Compile(re.String()); err != nil {
		return nil, err
	}
	if p.wide, err = regexp.Compile(strings.ReplaceAll(re.String(), `(.+?)`, `(.+)`)); err != nil {
		return nil, err
	}
	at = 0
	next := 0
	used := make([]bool, len(p.text))
	for _, m := range verb.FindAllStringSubmatchIndex(other, -1) {
		if other[m[8]:m[9]] == "%" {
			continue
		}
		p.parts = append(p.parts, part{strings.ReplaceAll(other[at:m[0]], "%%", "%"), -1})
		if m[4] >= 0 {
			if next, err = strconv.Atoi(other[m[4]:m[5]]); err != nil {
				return nil, err
			}
			next--
		}
		if next < 0 || next >= len(used) {
			return nil, fmt.Errorf("%q has more blanks than %q", other, en)
		}
		used[next] = true
		p.parts = append(p.parts, part{"", next})
		next++
		at = m[1]
	}
	p.parts = append(p.parts, part{strings.ReplaceAll(other[at:], "%%", "%"), -1})
	for i, u := range used {
		if !u {
			return nil, fmt.Errorf("%q leaves out blank %d of %q", other, i+1, en)
		}
	}
	return p, nil
}

// match gives what may stand in the blanks: a fixed word between two blanks may also stand inside what fills
// one of them, so there can be two answers. A sentence may begin with a capital where the format does not.
func (p *pattern) match(text string) (answers [][]string) {
	if p.start != "" && !strings.HasPrefix(text, p.start) {
		r, n := utf8.DecodeRuneInString(text)
		text = string(unicode.ToLower(r)) + text[n:]
		if !strings.HasPrefix(text, p.start) {
			return nil
		}
	}
	m := p.re.FindStringSubmatch(text)
	if m == nil {
		return nil
	}
	answers = append(answers, m[1:])
	if w := p.wide.FindStringSubmatch(text); w != nil && !slices.Equal(w, m) {
		answers = append(answers, w[1:])
	}
	return answers
}

func (p *pattern) fill(args []string) string {
	var b strings.Builder
	for _, x := range p.parts {
		if x.blank < 0 {
			b.WriteString(x.text)
		} else {
			b.WriteString(args[x.blank])
		}
	}
	return b.String()
}
