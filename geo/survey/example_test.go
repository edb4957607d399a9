package survey_test

import (
	"bytes"
	"context"
	"fmt"
	"strings"

	"github.com/paulmach/orb"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/osm"
	"lastroad/geo/survey"
)

// A paved road and a sandy track that leaves it.
const land = `<osm version="0.6">
<node id="1" lat="24.00" lon="15.00"/><node id="2" lat="24.05" lon="15.00"/>
<node id="3" lat="24.00" lon="15.10"/><node id="4" lat="24.05" lon="15.10"/>
<way id="10"><nd ref="1"/><nd ref="2"/><tag k="highway" v="secondary"/><tag k="surface" v="asphalt"/></way>
<way id="11"><nd ref="1"/><nd ref="3"/><tag k="highway" v="track"/><tag k="surface" v="sand"/></way>
</osm>`

func ExampleSurvey() {
	ctx := context.Background()
	tables, err := survey.ParseTables(assets.Table)
	if err != nil {
		fmt.Println(err)
		return
	}
	region, err := osm.Read(ctx, osm.Source{Name: "land.osm", R: strings.NewReader(land), Size: int64(len(land))}, osm.Corridor{}, osm.Options{}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	route := geo.Route{Line: orb.LineString{{15, 24.05}, {15, 24}, {15.1, 24}}}
	s, err := survey.Survey(ctx, route, region, nil, tables, survey.Options{}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, l := range s.Legs {
		fmt.Printf("km %.1f to %.1f: %s\n", s.FromM(i)/1000, s.ToM(i)/1000, l.Why)
	}
	end := s.Samples[len(s.Samples)-1]
	fmt.Printf("at the end: %s, %.1f km from a maintained road, %.0f minutes to drive back\n", s.Grounds[end.Ground].Main(), end.RoadM/1000, end.BackMin)
	// Output:
	// km 0.0 to 5.5: start
	// km 5.5 to 9.0: leaves the maintained road
	// km 9.0 to 15.7: farther from a maintained road
	// at the end: sand, 10.2 km from a maintained road, 30 minutes to drive back
}

func ExampleWriteCSV() {
	s := &geo.Survey{Samples: geo.Resample(geo.Route{Line: orb.LineString{{15, 24}, {15.01, 24}}}, 2000), Grounds: []geo.GroundMix{geo.Pure(geo.Sand, "surface=sand")}}
	var b bytes.Buffer
	if err := survey.WriteCSV(&b, s); err != nil {
		fmt.Println(err)
		return
	}
	for _, row := range strings.Split(strings.TrimSpace(b.String()), "\n") {
		fmt.Println(strings.Join(strings.Split(row, ",")[:7], ","))
	}
	// Output:
	// distance_m,lat,lon,way_id,highway,ground,ground_reason
	// 0.000,24.0000000,15.0000000,,,sand,surface=sand
	// 1017.518,24.0000000,15.0100000,,,sand,surface=sand
}
