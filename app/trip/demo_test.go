package trip

import (
	"bytes"
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"lastroad/assets"
	"lastroad/geo/survey"
)

// The demo's survey is built in ready; it must be what its route, region, heights and plan give with the tables of today.
func TestBuiltInSurveyIsWhatIsMeasured(t *testing.T) {
	ready, err := unpackSurvey(assets.Demo(DemoSurvey))
	if err != nil {
		t.Fatalf("%v; run go run ./cmd/dev demo", err)
	}
	measured, err := MeasureDemo(context.Background(), assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(measured, ready, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("the demo's survey is out of date (-measured +built in); run go run ./cmd/dev demo and look at what changes\n%.2000s", diff)
	}
	a, err := survey.Encode(ready)
	if err != nil {
		t.Fatal(err)
	}
	if b, err := survey.Encode(measured); err != nil || !bytes.Equal(a, b) {
		t.Errorf("the demo's survey is not written as what is measured is (%v); run go run ./cmd/dev demo", err)
	}
	d, err := demoPlan(assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.readRoute(context.Background(), 0); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(d.Route, ready.Route, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("the route of the demo's survey is not that of its file (-file +survey):\n%.2000s", diff)
	}
}
