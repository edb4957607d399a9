package verbs

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"lastroad/app/plot"
	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/risk"
)

type packArgs struct {
	source
	Payload float64 `help:"Kilograms that may still be added; 0 = what the vehicle's limits leave." placeholder:"KG"`
	Volume  float64 `help:"Litres of room that are left; 0 = no limit." placeholder:"L"`
	Picture string  `help:"Draw readiness against kilograms to this file, .svg or .png." placeholder:"F"`
	JSON    bool    `help:"Write the advice as JSON."`
}

func pack(ctx context.Context, args []string, s Streams) int {
	var a packArgs
	if status, done := parse("pack", "What to add next for its kilograms, the best set under the payload, readiness against kilograms, and what may stay at home.", &a, args, s); done {
		return status
	}
	if !(a.Payload >= 0 && a.Payload <= 20000) || !(a.Volume >= 0 && a.Volume <= 20000) {
		return fail(s, errors.New("pack: --payload and --volume must lie between 0 and 20000"))
	}
	samples := min(a.Samples, 500)
	a.Samples = 0
	d, err := a.open(ctx)
	if err != nil {
		return fail(s, err)
	}
	t, err := trip.Builtin()
	if err != nil {
		return fail(s, err)
	}
	cat, err := d.Plan.Catalogue(t.Catalogue)
	if err != nil {
		return fail(s, err)
	}
	v, err := risk.Advise(ctx, d.Survey, d.Plan.Judged(d.Plan.Trip), cat, risk.PackLimit{PayloadKg: a.Payload, VolumeL: a.Volume}, risk.Options{Samples: samples, Memo: d.Memo()})
	if err != nil {
		return fail(s, err)
	}
	if a.Picture != "" {
		if err := drawFrontier(a.Picture, v.Frontier); err != nil {
			return fail(s, err)
		}
	}
	out := bufio.NewWriter(s.Out)
	if a.JSON {
		err = report.PackJSON(out, d.Name(), v)
	} else {
		err = report.PackText(out, d.Name(), v)
	}
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		return fail(s, err)
	}
	return Done
}

// drawFrontier writes the picture of readiness against kilograms; the ending of the name says how.
func drawFrontier(path string, points []risk.Pack) error {
	ending := strings.ToLower(filepath.Ext(path))
	if ending != ".svg" && ending != ".png" {
		return fmt.Errorf("pack: --picture %s ends neither in .svg nor in .png", filepath.Base(path))
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	const width, height = 640, 380
	if ending == ".svg" {
		err = plot.FrontierSVG(f, points, width, height)
	} else {
		err = plot.FrontierPNG(f, points, width, height, 2)
	}
	if e := f.Close(); err == nil {
		err = e
	}
	return err
}
