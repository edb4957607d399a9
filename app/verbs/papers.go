package verbs

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"lastroad/app/papers"
)

type papersArgs struct {
	source
	Out     string   `help:"Folder to write to; it is made when it is missing." required:"" placeholder:"DIR"`
	Only    []string `help:"Only these papers, by key: ${papers}." placeholder:"KEY,..."`
	Size    string   `help:"Paper size: A4 or letter." enum:"A4,letter," default:""`
	Lang    string   `help:"Language of the printed papers: en, de, es or fr. Default: what the trip says, else en." placeholder:"LANG"`
	Units   string   `help:"Units of the papers meant for people: metric, us or imperial; tables and JSON stay metric. Default: what the trip says, else metric." enum:"metric,us,imperial," default:""`
	Date    string   `help:"Date that stands on the papers (2006-01-02 or RFC 3339); the same date gives the same bytes. Default: now." placeholder:"DATE"`
	Picture string   `help:"Size of the pictures in millimetres, such as 297x210; strips take the width. Default: 370x238." placeholder:"WxH"`
	DPI     int      `help:"Resolution of the PNG pictures, 72 to 600." default:"144" name:"dpi"`
}

func papersVerb(ctx context.Context, args []string, s Streams) int {
	var a papersArgs
	if status, done := parse("papers", "Write the papers of a trip: book, note for home, lists, files for navigation, pictures.", &a, args, s); done {
		return status
	}
	var size [2]float64
	if a.Picture != "" {
		w, h, ok := strings.Cut(strings.ToLower(a.Picture), "x")
		var errW, errH error
		size[0], errW = strconv.ParseFloat(w, 64)
		size[1], errH = strconv.ParseFloat(h, 64)
		if !ok || errW != nil || errH != nil || size[0] == 0 || size[1] == 0 {
			return fail(s, fmt.Errorf("papers: --picture %q is not a size such as 297x210", a.Picture))
		}
	}
	if err := papers.CheckPicture(size[0], size[1], a.DPI); err != nil {
		return fail(s, fmt.Errorf("papers: %w", err))
	}
	made := time.Now()
	if a.Date != "" {
		var err error
		if made, err = time.Parse("2006-01-02", a.Date); err != nil {
			if made, err = time.Parse(time.RFC3339, a.Date); err != nil {
				return fail(s, fmt.Errorf("papers: --date %q is neither 2006-01-02 nor 2006-01-02T15:04:05Z", a.Date))
			}
		}
	}
	pick, err := papers.Pick(a.Only)
	if err != nil {
		return fail(s, err)
	}
	if _, ok := papers.Language(a.Lang); !ok {
		return fail(s, fmt.Errorf("papers: --lang %q is not one of %s", a.Lang, strings.Join(papers.Languages, ", ")))
	}
	d, err := a.open(ctx)
	if err != nil {
		return fail(s, err)
	}
	for _, n := range d.Notes {
		s.note(n)
	}
	if a.Lang != "" || a.Units != "" {
		c := *d
		if a.Lang != "" {
			c.Plan.Papers.Language = a.Lang
		}
		if a.Units != "" {
			c.Plan.Papers.Units = a.Units
		}
		d = &c
	}
	set, err := papers.Prepare(ctx, d, made, a.Size)
	if err != nil {
		return fail(s, err)
	}
	set.DPI, set.Picture = a.DPI, size
	files, err := set.WriteTo(a.Out, pick, nil)
	for _, f := range files {
		fmt.Fprintln(s.Out, f)
	}
	if len(set.Replaced) > 0 {
		s.note("the typeface lacks some letters, which stand as ? in " + strings.Join(set.Replaced, ", "))
	}
	if err != nil {
		return fail(s, err)
	}
	return Done
}

// paperKeys are the keys for --only.
func paperKeys() string {
	var k []string
	for _, p := range papers.List {
		k = append(k, p.Key)
	}
	return strings.Join(k, ", ")
}
