package verbs

import (
	"bufio"
	"context"
	"errors"

	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/risk"
)

// source are the arguments by which every verb names its trip.
type source struct {
	File     string   `arg:"" help:"A .gpx, a saved .trip, or the word demo."`
	Region   []string `help:"Region file (.osm.pbf, .osm, .geojson, also .gz or .bz2); may be given several times." placeholder:"F" sep:"none"`
	Heights  []string `help:"Height tile (.hgt, .zip, GeoTIFF); may be given several times." placeholder:"F" sep:"none"`
	Corridor float64  `help:"Half-width of the land round the route that is looked at, km (default 30)." placeholder:"KM"`
	Track    int      `help:"Which line of a file with several: 1, 2, ...; -1 joins all." placeholder:"N"`
	Solo     bool     `help:"Judge the vehicle alone, whatever the trip says." xor:"who"`
	Together bool     `help:"Judge with the second vehicle along." xor:"who"`
	Samples  int      `help:"Samples for the uncertainty bands (0 = none, 2000 is plenty)." default:"${samples}" placeholder:"N"`
}

// check refuses figures that no judging could do with; verbs that take the samples elsewhere ask it first.
func (a source) check() error {
	if !(a.Corridor >= 0 && a.Corridor <= 500) {
		return errors.New("--corridor must lie between 0 and 500 km")
	}
	if a.Samples < 0 || a.Samples > 100_000 {
		return errors.New("--samples must lie between 0 and 100000")
	}
	return nil
}

// open reads, measures and judges what the arguments name.
func (a source) open(ctx context.Context) (*trip.Document, error) { return a.read(ctx, false) }

// openQuick is open without bands and cures, for verbs that show none of the judgement.
func (a source) openQuick(ctx context.Context) (*trip.Document, error) { return a.read(ctx, true) }

func (a source) read(ctx context.Context, quick bool) (*trip.Document, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	return trip.Open(ctx, trip.Request{Files: []string{a.File}, Region: a.Region, Heights: a.Heights, CorridorM: 1000 * a.Corridor, Track: a.Track,
		Samples: a.Samples, Quick: quick, Edit: a.who}, nil)
}

// who makes a trip go alone or with the second vehicle, as the arguments say.
func (a source) who(p *trip.Plan) error {
	if a.Together && p.Trip.Partner == nil {
		return errors.New("--together: this trip names no second vehicle; add one in the window, or to the trip's plan")
	}
	if a.Solo || a.Together {
		p.Trip.Together = a.Together
	}
	return nil
}

type judgeArgs struct {
	source
	JSON bool   `help:"Write the whole judged trip as JSON (schema in README)."`
	Fail string `help:"Exit with 1 when the trip has a stop (stop) or is anything but ready (thin)." enum:",stop,thin" default:""`
}

func judge(ctx context.Context, args []string, s Streams) int {
	var a judgeArgs
	if status, done := parse("judge", "Judge a route leg by leg: needs, readiness, odds, and where every lost point goes.", &a, args, s); done {
		return status
	}
	d, err := a.open(ctx)
	if err != nil {
		return fail(s, err)
	}
	out := bufio.NewWriter(s.Out)
	for _, n := range d.Notes {
		s.note(n)
	}
	if a.JSON {
		err = report.JSON(out, d.Name(), d.Survey, d.Judgement)
	} else {
		err = report.Text(out, d.Name(), d.Survey, d.Judgement)
	}
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		return fail(s, err)
	}
	return verdict(a.Fail, d.Judgement)
}

// verdict is the exit status that --fail asks for.
func verdict(fail string, j *risk.Judgement) int {
	stop := !j.Trip.Ready
	for _, l := range j.Legs {
		stop = stop || !l.Score.Ready
	}
	switch {
	case fail != "" && stop, fail == "thin" && j.Trip.Word != "ready":
		return Findings
	}
	return Done
}
