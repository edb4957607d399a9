package demo

import "math"

type tags [][2]string

type way struct {
	key    string
	points []xy // control points; those shared with another way are joints
	wiggle float64
	tags   tags
}

// Joints where ways meet.
var (
	ombrel    = xy{22, 14}
	basinTurn = xy{30.2, 14.7}
	eastTurn  = xy{78, 15.4}
	copperTrn = xy{17.6, 13.5}
	station   = xy{33, 40}
	lakeWest  = xy{44.2, 55.0}
	lakeEast  = xy{63.4, 61.6}
	thistle   = xy{66, 66}
	duneNorth = xy{57.4, 88.2}
	fordOne   = xy{50.2, 92.3}
	fordTwo   = xy{45.6, 92.25}
	riverWest = xy{40.2, 89.6}
	gapEast   = xy{35.2, 82.6}
	gapTop    = xy{30.7, 80.7}
	gapWest   = xy{26.6, 77.4}
	uplandIn  = xy{19.2, 66.4}
	copperEnd = xy{14.2, 50.8}
	eastEnd   = xy{80.5, 52.5}

	veldaRoadEnd = xy{55.6, 99.2}
	mineEnd      = xy{9.4, 68.2}
)

// wayTable is the whole road and track net. Some tracks carry no ground tag at all, as on real maps.
var wayTable = []way{
	{"south-a", []xy{{0, 11.4}, {9, 12.2}, copperTrn, ombrel}, 0.10, tags{{"highway", "primary"}, {"name", "Southern Road"}, {"surface", "asphalt"}}},
	{"south-b", []xy{ombrel, basinTurn}, 0.05, tags{{"highway", "primary"}, {"name", "Southern Road"}, {"surface", "asphalt"}}},
	{"south-c", []xy{basinTurn, {48, 13.8}, {64, 15.9}, eastTurn, {94.5, 16.6}}, 0.12, tags{{"highway", "primary"}, {"name", "Southern Road"}, {"surface", "asphalt"}}},
	{"street-1", []xy{ombrel, {22.3, 15.0}, {21.6, 15.6}}, 0.01, tags{{"highway", "residential"}, {"name", "Well Street"}, {"surface", "asphalt"}}},
	{"street-2", []xy{{21.2, 14.6}, {22.3, 15.0}}, 0.01, tags{{"highway", "residential"}, {"surface", "compacted"}}},
	{"basin-road", []xy{basinTurn, {31.4, 21}, {30.1, 27.5}, {32.2, 34}, station}, 0.22, tags{{"highway", "unclassified"}, {"name", "Basin Road"}, {"surface", "gravel"}}},
	{"station-yard", []xy{station, {33.4, 40.3}, {33.5, 40.0}}, 0.01, tags{{"highway", "service"}, {"surface", "gravel"}}},
	{"shore-track", []xy{station, {35.6, 44.2}, {39.8, 48.4}, {42.6, 52.6}, lakeWest}, 0.30, tags{{"highway", "track"}, {"tracktype", "grade3"}, {"name", "Shore Track"}}},
	{"lake-crossing", []xy{lakeWest, {50, 57.2}, {56.5, 59.4}, lakeEast}, 0.10, tags{{"highway", "track"}, {"tracktype", "grade5"}, {"surface", "salt"}, {"name", "Lake Isker crossing"}, {"seasonal", "dry_season"}}},
	{"lake-round", []xy{lakeWest, {43.2, 60.2}, {46.5, 66.6}, {54.6, 68.0}, {61.2, 66.2}, thistle}, 0.30, tags{{"highway", "track"}}},
	{"thistle-track", []xy{lakeEast, {64.9, 63.8}, thistle}, 0.10, tags{{"highway", "track"}, {"tracktype", "grade4"}, {"surface", "ground"}}},
	{"dune-track", []xy{thistle, {64.4, 70.2}, {61.6, 74.8}, {60.8, 79.4}, {58.2, 83.6}, duneNorth}, 0.35, tags{{"highway", "track"}, {"tracktype", "grade5"}, {"surface", "sand"}, {"name", "Saffron Track"}}},
	{"dune-old", []xy{{61.6, 74.8}, {63.6, 78.2}, {62.2, 82.9}, {58.2, 83.6}}, 0.35, tags{{"highway", "track"}, {"surface", "sand"}, {"4wd_only", "yes"}}},
	{"flood-track", []xy{duneNorth, {54.2, 90.3}, fordOne}, 0.20, tags{{"highway", "track"}, {"tracktype", "grade5"}, {"surface", "mud"}}},
	{"river-track", []xy{fordOne, {50.6, 96.0}, {47.4, 96.3}, fordTwo}, 0.10, tags{{"highway", "track"}, {"tracktype", "grade4"}, {"surface", "dirt"}, {"name", "Velda Track"}}},
	{"river-track-2", []xy{fordTwo, {43.4, 90.4}, riverWest}, 0.18, tags{{"highway", "track"}, {"tracktype", "grade4"}, {"surface", "dirt"}, {"name", "Velda Track"}}},
	{"gap-approach", []xy{riverWest, {38.2, 85.6}, gapEast}, 0.20, tags{{"highway", "track"}, {"tracktype", "grade4"}, {"smoothness", "very_bad"}}},
	{"gap-climb", []xy{gapEast, {34.2, 81.9}, {33.4, 82.0}, {32.6, 81.3}, {31.6, 81.2}, gapTop}, 0.05, tags{{"highway", "track"}, {"tracktype", "grade5"}, {"surface", "rock"}, {"smoothness", "horrible"}, {"name", "Hollin Gap"}}},
	{"gap-descent", []xy{gapTop, {29.8, 80.2}, {29.7, 79.1}, {28.5, 78.9}, {28.4, 77.9}, gapWest}, 0.05, tags{{"highway", "track"}, {"tracktype", "grade5"}, {"surface", "stone"}, {"name", "Hollin Gap"}}},
	{"west-track", []xy{gapWest, {24.2, 74.2}, {23.0, 70.2}, uplandIn}, 0.30, tags{{"highway", "track"}}},
	{"upland-track", []xy{uplandIn, {17.2, 61.8}, {15.4, 56.4}, copperEnd}, 0.25, tags{{"highway", "track"}, {"surface", "grass"}, {"tracktype", "grade5"}}},
	{"copper-road", []xy{copperEnd, {15.8, 43.5}, {13.6, 35.2}, {16.4, 26.6}, {16.2, 19.8}, copperTrn}, 0.22, tags{{"highway", "tertiary"}, {"name", "Copper Road"}, {"surface", "gravel"}}},
	{"mine-spur", []xy{copperEnd, {12.4, 52.2}, {11.2, 51.8}}, 0.08, tags{{"highway", "service"}, {"surface", "gravel"}, {"access", "private"}}},
	{"east-road", []xy{eastTurn, {79.4, 26}, {77.8, 38}, eastEnd}, 0.22, tags{{"highway", "tertiary"}, {"name", "Eastern Road"}, {"surface", "compacted"}}},
	{"east-track", []xy{eastEnd, {75.2, 56.6}, {70.4, 62.6}, thistle}, 0.30, tags{{"highway", "track"}, {"tracktype", "grade4"}, {"surface", "gravel"}}},
	{"river-road-track", []xy{{50.6, 96.0}, veldaRoadEnd}, 0.20, tags{{"highway", "track"}}},
	{"velda-road", []xy{veldaRoadEnd, {60.2, 100.8}, {72, 104.4}, {84, 107.6}, {94.5, 109.6}}, 0.25, tags{{"highway", "unclassified"}, {"name", "Velda Road"}, {"surface", "gravel"}}},
	{"mine-road", []xy{copperEnd, {12.6, 57.4}, mineEnd}, 0.20, tags{{"highway", "unclassified"}, {"name", "Mine Road"}, {"surface", "gravel"}}},
	{"far-track", []xy{uplandIn, {12.2, 71.6}, {9.6, 82.0}, {10.8, 94.0}}, 0.35, tags{{"highway", "track"}}},
	{"hill-path", []xy{gapTop, {31.8, 78.2}, {33.0, 74.2}, {36.5, 70.2}}, 0.15, tags{{"highway", "path"}, {"name", "Marrow Ridge Path"}}},
	{"station-track", []xy{station, {28.2, 46.2}, {22.6, 52.4}, copperEnd}, 0.30, tags{{"highway", "track"}, {"tracktype", "grade3"}, {"surface", "dirt"}, {"name", "Fence Track"}}},
}

// routeWays is the trip in driving order; a leading minus drives the way against its drawing.
var routeWays = []string{"south-b", "basin-road", "shore-track", "lake-crossing", "thistle-track", "dune-track", "flood-track",
	"river-track", "river-track-2", "gap-approach", "gap-climb", "gap-descent", "west-track", "upland-track", "copper-road", "south-a#home"}

// trace draws the way through its control points with a node about every 80 m. Between control points
// it wanders by up to wiggle kilometres; at them it stands exactly on them, so that joints meet.
func (w way) trace(salt int64) []xy {
	var out []xy
	p := w.points
	at := func(i int) xy { return p[max(0, min(len(p)-1, i))] }
	for i := 0; i+1 < len(p); i++ {
		a, b, c, d := at(i-1), at(i), at(i+1), at(i+2)
		length := math.Hypot(c.x-b.x, c.y-b.y)
		n := max(2, int(math.Round(length/0.08)))
		for k := range n {
			t := float64(k) / float64(n)
			q := xy{catmull(a.x, b.x, c.x, d.x, t), catmull(a.y, b.y, c.y, d.y, t)}
			off := w.wiggle * math.Sin(math.Pi*t) * (0.7*noise(q.x*3, q.y*3, 2.6, 100+salt) + 0.5*noise(q.x*3, q.y*3, 1.1, 200+salt))
			nx, ny := -(c.y-b.y)/length, (c.x-b.x)/length
			out = append(out, xy{q.x + off*nx, q.y + off*ny})
		}
	}
	return append(out, p[len(p)-1])
}

func catmull(a, b, c, d, t float64) float64 {
	return 0.5 * (2*b + (c-a)*t + (2*a-5*b+4*c-d)*t*t + (3*b-a-3*c+d)*t*t*t)
}
