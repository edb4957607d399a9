package ground_test

import (
	"fmt"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/ground"
	"lastroad/geo/osm"
)

func ExampleRules_Classify() {
	rules, err := ground.ParseRules(assets.Table("ground"))
	if err != nil {
		panic(err)
	}
	track := osm.Tags{{Key: "highway", Value: "track"}}
	m := rules.Classify(track, osm.Scree)
	fmt.Printf("%s, likeliest %s, because: %s\n", m.Main(), m.Likeliest(), m.Reason)
	m = rules.Classify(append(track, osm.Tag{Key: "surface", Value: "sand"}))
	fmt.Printf("%s %.0f %%, because: %s\n", m.Main(), 100*m.P[geo.Sand], m.Reason)
	// Output:
	// unknown, likeliest loose rock, because: track without ground tags, in scree
	// sand 95 %, because: surface=sand
}
