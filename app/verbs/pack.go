package verbs

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/google/renameio/v2/maybe"

	"lastroad/app/plot"
	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/geo"
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
	if err := a.check(); err != nil {
		return fail(s, fmt.Errorf("pack: %w", err))
	}
	if e := pictureEnding(a.Picture); a.Picture != "" && e != ".svg" && e != ".png" {
		return fail(s, fmt.Errorf("pack: --picture %s ends neither in .svg nor in .png", filepath.Base(a.Picture)))
	}
	samples := min(a.Samples, 500)
	a.Samples = 0
	d, err := a.openQuick(ctx)
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

func pictureEnding(path string) string { return strings.ToLower(filepath.Ext(path)) }

// drawFrontier writes the picture of readiness against kilograms, whole or not at all; the ending of the name says how.
func drawFrontier(path string, points []risk.Pack) error {
	const width, height = 640, 380
	var b bytes.Buffer
	var err error
	if pictureEnding(path) == ".svg" {
		err = plot.FrontierSVG(&b, points, width, height)
	} else {
		err = plot.FrontierPNG(&b, points, width, height, 2)
	}
	if err != nil {
		return err
	}
	if err := maybe.WriteFile(path, b.Bytes(), 0o644); err != nil {
		return &geo.InputError{File: filepath.Base(path), Reason: "cannot be written", Remedy: "name a file in a folder that exists and may be written to", Err: err}
	}
	return nil
}
