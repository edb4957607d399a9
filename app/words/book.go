package words

import (
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"lastroad/assets"
)

// Languages are the languages that there are books for, English first.
var Languages = []string{"en", "de", "es", "fr"}

// Book says texts in one language. It is safe for use by several goroutines.
type Book struct {
	lang     string
	names    map[string]string
	patterns []*pattern // the longest fixed text first
	mu       sync.Mutex
	memo     map[string]said // never more than mostKept
}

// mostKept bounds what a book remembers; sentences with figures in them are new after every change.
const mostKept = 8000

type said struct {
	text  string
	whole bool
	depth int // how deep in other texts it was tried: what failed there may still be known farther out
}

// books make each language's book when it is first asked for: a window in one language need not wait for the others.
var books = func() map[string]func() *Book {
	m := map[string]func() *Book{}
	for i, l := range Languages {
		m[l] = sync.OnceValue(func() *Book { return bookOf(i) })
	}
	return m
}()

// bookOf makes the book of a language by its number. The English one leaves texts as they are and needs none.
func bookOf(language int) *Book {
	b := &Book{lang: Languages[language], names: map[string]string{}}
	if language == 0 {
		return b
	}
	table, err := read(assets.Words())
	if err != nil {
		panic("words: " + err.Error()) // built in and tested
	}
	for _, row := range table {
		if !strings.Contains(row[0], "%") {
			b.names[row[0]] = row[language]
			continue
		}
		p, err := compile(row[0], row[language])
		if err != nil {
			panic("words: " + err.Error())
		}
		b.patterns = append(b.patterns, p)
	}
	sort.SliceStable(b.patterns, func(x, y int) bool { return b.patterns[x].fixed > b.patterns[y].fixed })
	return b
}

// read takes the lines of the words apart: one row a line, the languages in their order between tabs; lines
// that begin with # and the head line are passed over.
func read(data []byte) (rows [][]string, err error) {
	seen := map[string]bool{}
	for n, line := range strings.Split(string(data), "\n") {
		line = strings.TrimSuffix(line, "\r")
		if line == "" || strings.HasPrefix(line, "#") || strings.HasPrefix(line, "en\t") {
			continue
		}
		f := strings.Split(line, "\t")
		if len(f) != len(Languages) || slices.Contains(f, "") {
			return nil, fmt.Errorf("line %d has not one text for each of %d languages: %q", n+1, len(Languages), line)
		}
		if !seen[f[0]] {
			seen[f[0]] = true
			rows = append(rows, f)
		}
	}
	return rows, nil
}

// In is the book of a language; regions are passed over ("de-AT" is "de"). Languages without a book get the
// English one, which leaves texts as they are.
func In(lang string) *Book {
	lang = strings.ToLower(lang)
	if i := strings.IndexAny(lang, "-_."); i >= 0 {
		lang = lang[:i]
	}
	if b, ok := books[lang]; ok {
		return b()
	}
	return books["en"]()
}

// Lang is the book's language.
func (b *Book) Lang() string { return b.lang }

// Say gives the text in the book's language, as far as it is known.
func (b *Book) Say(text string) string {
	t, _ := b.Try(text)
	return t
}

// Try is [Book.Say] that also reports whether all of the text was known, names of people and places aside.
func (b *Book) Try(text string) (string, bool) {
	if b.lang == "en" || text == "" {
		return text, true
	}
	return b.say(text, 0)
}

// say looks up what was said before, and remembers what is said now.
func (b *Book) say(text string, depth int) (string, bool) {
	b.mu.Lock()
	s, ok := b.memo[text]
	b.mu.Unlock()
	if ok && (s.whole || depth >= s.depth) {
		return s.text, s.whole
	}
	s.depth = depth
	s.text, s.whole = b.work(text, depth)
	b.mu.Lock()
	if b.memo == nil || len(b.memo) >= mostKept {
		b.memo = make(map[string]said, 256)
	}
	b.memo[text] = s
	b.mu.Unlock()
	return s.text, s.whole
}

// figure is a number alone, with a power of ten.
var figure = regexp.MustCompile(`^[-+]?\d+(\.\d+)?e[-+]\d+$`)

// deepest bounds how far sentences stand in one another.
const deepest = 6

// longest bounds the texts that are taken apart, in bytes: a finding has some hundreds.
const longest = 4000

func (b *Book) work(text string, depth int) (string, bool) {
	if t, ok := b.name(text); ok {
		return t, true
	}
	if !strings.ContainsFunc(text, unicode.IsLetter) || figure.MatchString(text) {
		return b.figures(text), true
	}
	if depth > deepest || len(text) > longest {
		return text, false
	}
	// A sentence with all its blanks known goes before one with a blank that is not.
	best, found := "", false
	for _, p := range b.patterns {
		for _, args := range p.match(text) {
			t, whole := b.fill(p, args, depth)
			if r, _ := utf8.DecodeRuneInString(text); unicode.IsUpper(r) {
				t = Capital(t)
			}
			if whole {
				return t, true
			}
			if !found {
				best, found = t, true
			}
		}
	}
	// A sentence may close with a full stop where its format does not.
	if open, had := strings.CutSuffix(text, "."); had && !strings.HasSuffix(open, ".") {
		if t, ok := b.say(open, depth+1); ok {
			return t + ".", true
		}
	}
	if t, ok := b.split(text, depth); ok || !found {
		return t, ok
	}
	return best, false
}

// fill says a pattern with its blanks said; whole is false when one of them is not known.
func (b *Book) fill(p *pattern, args []string, depth int) (text string, whole bool) {
	out := make([]string, len(args))
	whole = true
	for i, a := range args {
		if !p.text[i] {
			out[i] = b.figures(a)
			continue
		}
		t, known := b.say(a, depth+1)
		out[i], whole = t, whole && known
	}
	return p.fill(out), whole
}

// name looks a text up among the names, with a capital or a full stop of its own.
func (b *Book) name(text string) (string, bool) {
	if t, ok := b.names[text]; ok {
		return t, true
	}
	if s, had := strings.CutSuffix(text, "."); had {
		if t, ok := b.name(s); ok {
			return t + ".", true
		}
	}
	r, n := utf8.DecodeRuneInString(text)
	if unicode.IsUpper(r) {
		if t, ok := b.names[string(unicode.ToLower(r))+text[n:]]; ok {
			return Capital(t), true
		}
	} else if unicode.IsLower(r) {
		// German writes its nouns with capitals; other languages begin small inside a sentence.
		if t, ok := b.names[string(unicode.ToUpper(r))+text[n:]]; ok {
			if b.lang != "de" {
				r, n := utf8.DecodeRuneInString(t)
				t = string(unicode.ToLower(r)) + t[n:]
			}
			return t, true
		}
	}
	return "", false
}

// joints are where texts are put together of others, the loosest first.
var joints = []struct{ en, de, es, fr string }{
	{". ", ". ", ". ", ". "}, {" · ", " · ", " · ", " · "}, {"; ", "; ", "; ", " ; "}, {": ", ": ", ": ", " : "}, {" or ", " oder ", " o ", " ou "},
	{" and ", " und ", " y ", " et "}, {", ", ", ", ", ", ", "}, {" / ", " / ", " / ", " / "}, {" + ", " + ", " + ", " + "},
}

// mostJoined is how many joints a name may hold.
const mostJoined = 4

// split takes a text apart at the first joint where every part is known; else at the first joint at all where
// some part is known.
func (b *Book) split(text string, depth int) (string, bool) {
	best, most := text, 0
	for _, j := range joints {
		parts := strings.Split(text, j.en)
		if len(parts) < 2 {
			continue
		}
		known, said := 0, parts[:0:0]
		for i := 0; i < len(parts); {
			// A name may hold the joint itself: the longest run of parts that is known goes first.
			n, t, ok := 1, "", false
			for run := min(mostJoined, len(parts)-i); run > 1 && !ok; run-- {
				if j.en != ". " && run < len(parts) {
					if u, whole := b.name(strings.Join(parts[i:i+run], j.en)); whole {
						n, t, ok = run, u, true
					}
				}
			}
			if !ok {
				t, ok = b.say(parts[i], depth+1)
			}
			// The full stop that the joint took belongs to its sentence.
			if !ok && j.en == ". " && i < len(parts)-1 {
				if u, also := b.say(parts[i]+".", depth+1); also {
					t, ok = strings.TrimSuffix(u, "."), true
				}
			}
			if ok {
				known += n
			}
			said = append(said, t)
			i += n
		}
		glue := map[string]string{"de": j.de, "es": j.es, "fr": j.fr}[b.lang]
		joined := strings.Join(said, glue)
		if known == len(parts) {
			return joined, true
		}
		if known > most || best == text && j.en == ". " {
			best, most = joined, known
		}
	}
	return best, false
}

// figures writes the decimal mark of the language.
func (b *Book) figures(s string) string {
	out := []byte(s)
	for i := 1; i+1 < len(out); i++ {
		if out[i] == '.' && digit(out[i-1]) && digit(out[i+1]) {
			out[i] = ','
		}
	}
	return string(out)
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// Capital begins a text with a capital letter.
func Capital(s string) string {
	if s == "" {
		return ""
	}
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}
