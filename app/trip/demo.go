package trip

import (
	"bytes"
	"context"
	"io"

	"github.com/klauspost/compress/gzip"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/height"
	"lastroad/geo/osm"
	"lastroad/geo/survey"
)

// DemoSurvey is the name of the demo's file that holds what was measured along its route, as [survey.Encode] writes it,
// packed by gzip. "go run ./cmd/dev demo" makes it from the other files, so that nobody has to wait while a window measures it again.
const DemoSurvey = "survey.json.gz"

// Demo opens the built-in invented trip.
func Demo(ctx context.Context, req Request, progress Progress) (*Document, error) {
	d, err := demoPlan(assets.Demo)
	if err != nil {
		return nil, err
	}
	if err := req.edit(&d.Plan); err != nil {
		return nil, err
	}
	if d.Survey, err = unpackSurvey(assets.Demo(DemoSurvey)); err != nil {
		return nil, err
	}
	d.Route = d.Survey.Route
	if err := d.demoGround(ctx, assets.Demo, progress); err != nil {
		return nil, err
	}
	return d, d.judge(ctx, req.Quick, progress)
}

// MeasureDemo measures the demo anew from its files, given by their names: what its file [DemoSurvey] must hold.
func MeasureDemo(ctx context.Context, file func(name string) []byte) (*geo.Survey, error) {
	d, err := demoPlan(file)
	if err != nil {
		return nil, err
	}
	if err := d.readRoute(ctx, 0); err != nil {
		return nil, err
	}
	if err := d.demoGround(ctx, file, nil); err != nil {
		return nil, err
	}
	err = d.measure(ctx, nil)
	return d.Survey, err
}

// demoPlan is the demo with nothing read but its plan.
func demoPlan(file func(name string) []byte) (*Document, error) {
	plan, err := DecodePlan(file("trip.toml"), "demo")
	return &Document{Demo: true, RouteBytes: file("route.gpx"), Plan: plan}, err
}

func unpackSurvey(packed []byte) (*geo.Survey, error) {
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, err
	}
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	return survey.Decode(data)
}

// ofDemo reports whether the route is the demo's, whose ground is built in and stands in no file that the plan names.
func (d *Document) ofDemo() bool {
	return d.Region == nil && len(d.Plan.Region) == 0 && bytes.Equal(d.RouteBytes, assets.Demo("route.gpx"))
}

// demoGround reads the demo's region and heights along the route.
func (d *Document) demoGround(ctx context.Context, file func(name string) []byte, progress Progress) error {
	region := file("region.osm.gz")
	progress.say("read the region", 0)
	var err error
	d.Region, err = osm.Read(ctx, osm.Source{Name: "the invented region", R: bytes.NewReader(region), Size: int64(len(region))}, osm.Corridor{Line: d.Route.Line, RadiusM: d.Plan.CorridorM}, osm.Options{}, nil)
	if err != nil {
		return err
	}
	d.Region.Credit = []string{"An invented region: no such place exists"}
	const name = "S32W109.hgt.zip"
	tile := file(name)
	t, err := height.Read(bytes.NewReader(tile), int64(len(tile)), name, d.heightBound())
	if err != nil {
		return err
	}
	d.Heights = height.NewModel(t...)
	return nil
}
