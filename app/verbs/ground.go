package verbs

import (
	"bufio"
	"context"
	"encoding/json"
	"os"
	"path/filepath"

	"lastroad/app/report"
	"lastroad/geo"
	"lastroad/geo/osm"
	"lastroad/geo/survey"
)

func surveyVerb(ctx context.Context, args []string, s Streams) int {
	var a source
	if status, done := parse("survey", "Write the measured samples, one a line, as CSV. Empty = unknown.", &a, args, s); done {
		return status
	}
	a.Samples = 0
	d, err := a.open(ctx)
	if err != nil {
		return fail(s, err)
	}
	for _, n := range append(d.Notes, d.Survey.Notes...) {
		s.note(n)
	}
	out := bufio.NewWriter(s.Out)
	err = survey.WriteCSV(out, d.Survey)
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		return fail(s, err)
	}
	return Done
}

type regionArgs struct {
	File string `arg:"" help:"Region file (.osm.pbf, .osm, .geojson, also .gz or .bz2)."`
	JSON bool   `help:"Write the counts as JSON."`
}

func region(ctx context.Context, args []string, s Streams) int {
	var a regionArgs
	if status, done := parse("region", "Say what a region file holds: extent, counts, how many tracks carry a ground tag, places of help.", &a, args, s); done {
		return status
	}
	f, err := os.Open(a.File)
	if err != nil {
		return fail(s, &geo.InputError{File: filepath.Base(a.File), Reason: "cannot be opened", Remedy: "check its name", Err: err})
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil || st.IsDir() {
		return fail(s, &geo.InputError{File: filepath.Base(a.File), Reason: "is not a file"})
	}
	r, err := osm.Read(ctx, osm.Source{Name: filepath.Base(a.File), R: f, Size: st.Size()}, osm.Corridor{}, osm.Options{}, nil)
	if err != nil {
		return fail(s, err)
	}
	out := bufio.NewWriter(s.Out)
	if a.JSON {
		e := json.NewEncoder(out)
		e.SetIndent("", "  ")
		err = e.Encode(r.Stats())
	} else {
		err = report.Region(out, r)
	}
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		return fail(s, err)
	}
	return Done
}
