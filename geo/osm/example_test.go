package osm_test

import (
	"context"
	"fmt"
	"strings"

	"github.com/paulmach/orb"

	"lastroad/geo/osm"
)

const land = `<osm version="0.6">
<node id="1" lat="45.000" lon="10.000"/><node id="2" lat="45.010" lon="10.010"><tag k="ford" v="yes"/></node>
<node id="3" lat="44.990" lon="9.990"/><node id="4" lat="44.990" lon="10.020"/><node id="5" lat="45.020" lon="10.020"/>
<node id="6" lat="45.001" lon="10.001"><tag k="amenity" v="fuel"/><tag k="name" v="Last Pump"/></node>
<way id="10"><nd ref="1"/><nd ref="2"/><tag k="highway" v="track"/><tag k="surface" v="sand"/></way>
<way id="11"><nd ref="3"/><nd ref="4"/><nd ref="5"/><nd ref="3"/><tag k="natural" v="sand"/></way>
</osm>`

func ExampleRead() {
	src := osm.Source{Name: "land.osm", R: strings.NewReader(land), Size: int64(len(land))}
	route := orb.LineString{{10, 45}, {10.01, 45.01}}
	r, err := osm.Read(context.Background(), src, osm.Corridor{Line: route, RadiusM: 5000}, osm.Options{}, nil)
	if err != nil {
		panic(err)
	}
	for _, w := range r.Ways {
		fmt.Println("way", w.ID, w.Tags)
	}
	for _, n := range r.Nodes {
		fmt.Println(n.Kind, "on way", r.Ways[n.Ways[0]].ID)
	}
	for _, p := range r.Places {
		fmt.Println(p.Kind.Key(), p.Name)
	}
	fmt.Println(osm.NewAreaIndex(r.Areas).Kinds(nil, orb.Point{10.005, 44.995}))
	fmt.Println(r.Credit[0])
	// Output:
	// way 10 [{highway track} {surface sand}]
	// ford on way 10
	// fuel Last Pump
	// [sand]
	// © OpenStreetMap contributors, ODbL 1.0
}
