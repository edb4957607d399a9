package papers

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/google/renameio/v2/maybe"

	"lastroad/app/plot"
	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/geo"
	"lastroad/risk"
)

// Set is a judged trip ready to be put on paper. Make one with [Prepare].
type Set struct {
	Doc     *trip.Document
	Other   *risk.Judgement // solo when the trip is judged together, and the reverse; nil without a second vehicle
	Scene   *plot.Scene
	Load    []LoadRow
	Cards   []Card
	Calls   []string // what is carried to call with
	Care    []string // what is carried to wait with
	Words   Words
	Numbers []Assumption
	Made    time.Time
	Size    string // "A4" or "letter"
	DPI     int    // of PNG pictures
	// Picture is the width and height of map pictures in millimetres, the width that of strips too; zero for
	// the usual size.
	Picture [2]float64
	// Replaced are the files of the last [Set.WriteTo] in which question marks stand for letters that the typeface
	// lacks, in the order in which they were written.
	Replaced []string

	lost *bool // of the paper being written; nil for nobody to tell
}

// Paper is one kind of paper.
type Paper struct {
	Key   string // for --only
	File  string // name of the file
	Title string // as a person reads it
	Write func(w io.Writer, s *Set) error
	// Pages lays out the pages of a printed paper, as they will come out of the printer; nil for other papers.
	Pages func(s *Set) (*Pages, error)
}

// List are all papers, in the order in which they are offered.
var List = []Paper{
	{"book", "trip-book.pdf", "Trip book", func(w io.Writer, s *Set) error {
		return s.book().Write(w)
	}, func(s *Set) (*Pages, error) { return s.book().Pages() }},
	{"home", "note-for-home.pdf", "Note for the contact at home", func(w io.Writer, s *Set) error {
		return s.home().PDF(w)
	}, func(s *Set) (*Pages, error) { return s.home().Pages() }},
	{"home-text", "note-for-home.txt", "Note for the contact at home, plain text", func(w io.Writer, s *Set) error {
		return s.home().Text(w)
	}, nil},
	{"leg-csv", "legs.csv", "Needs leg by leg, CSV (metric units)", func(w io.Writer, s *Set) error { return LegCSV(w, s.Doc) }, nil},
	{"workbook", "needs.xlsx", "Workbook of legs, needs, load and gaps (metric units)", func(w io.Writer, s *Set) error {
		return Workbook(w, s.Doc, s.Load, s.Numbers, s.Made)
	}, nil},
	{"json", "trip.json", "The whole judged trip, JSON (metric units)", func(w io.Writer, s *Set) error {
		return report.JSON(w, s.Doc.Name(), s.Doc.Survey, s.Doc.Judgement)
	}, nil},
	{"markdown", "needs.md", "Needs leg by leg, Markdown", func(w io.Writer, s *Set) error { return Markdown(w, s.Doc, s.Words) }, nil},
	{"gpx", "route.gpx", "Legs and places for a navigation device, GPX", func(w io.Writer, s *Set) error { return GPX(w, s.Doc, s.Made) }, nil},
	{"geojson", "legs.geojson", "Legs and places, GeoJSON", func(w io.Writer, s *Set) error { return GeoJSON(w, s.Doc) }, nil},
	{"kml", "legs.kml", "Legs and places, KML", func(w io.Writer, s *Set) error { return KML(w, s.Doc) }, nil},
	{"map-png", "map.png", "Map, picture", func(w io.Writer, s *Set) error { return s.mapPNG(w) }, nil},
	{"map-svg", "map.svg", "Map, drawing", func(w io.Writer, s *Set) error { return s.mapSVG(w) }, nil},
	{"strip-png", "strip.png", "Strip, picture", func(w io.Writer, s *Set) error { return s.stripPNG(w) }, nil},
	{"strip-svg", "strip.svg", "Strip, drawing", func(w io.Writer, s *Set) error { return s.stripSVG(w) }, nil},
}

// Pick gives the papers with the given keys, all of them for none. An unknown key is an error that
// names the known ones.
func Pick(keys []string) ([]Paper, error) {
	if len(keys) == 0 {
		return List, nil
	}
	var out []Paper
	for _, k := range keys {
		found := false
		var known []string
		for _, p := range List {
			known = append(known, p.Key)
			if p.Key == strings.TrimSpace(k) {
				out, found = append(out, p), true
			}
		}
		if !found {
			return nil, fmt.Errorf("paper %q is not known; the papers are %s", k, strings.Join(known, ", "))
		}
	}
	return out, nil
}

func (s *Set) book() Book {
	return Book{s.Doc, s.Other, s.Scene, s.Load, s.Cards, s.Made, s.Size, s.Words, s.lost}
}

func (s *Set) home() HomeNote {
	return HomeNote{s.Doc, s.Made, s.Size, s.Calls, s.Care, s.Words, s.lost}
}

// WriteTo writes papers into a folder, making it when it is missing. Each file is written beside its
// place and renamed, so that a failure leaves the old one. It returns the paths written, and stops at the
// first error.
func (s *Set) WriteTo(folder string, papers []Paper, progress func(done, total int, title string)) ([]string, error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, &geo.InputError{File: folder, Reason: "the folder cannot be made", Remedy: "choose another", Err: err}
	}
	var out []string
	s.Replaced = nil
	for i, p := range papers {
		if progress != nil {
			progress(i, len(papers), p.Title)
		}
		var b bytes.Buffer
		one, lost := *s, false
		one.lost = &lost
		if err := p.Write(&b, &one); err != nil {
			return out, fmt.Errorf("%s: %w", p.File, err)
		}
		path := filepath.Join(folder, p.File)
		if err := maybe.WriteFile(path, b.Bytes(), 0o644); err != nil {
			return out, &geo.InputError{File: path, Reason: "cannot be written", Remedy: "check that the folder may be written to, that the disk has room, and that no other program holds the file", Err: err}
		}
		out = append(out, path)
		if lost {
			s.Replaced = append(s.Replaced, p.File)
		}
	}
	return out, nil
}
