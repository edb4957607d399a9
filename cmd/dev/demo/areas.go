package demo

import "math"

type area struct {
	ring []xy
	tags tags
}

// blob is an uneven ring round a centre.
func blob(c xy, rx, ry, rough float64, octave int64) []xy {
	const n = 60
	var out []xy
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		r := 1 + rough*noise(math.Cos(a)*2+c.x, math.Sin(a)*2+c.y, 0.9, octave)
		out = append(out, xy{c.x + rx*r*math.Cos(a), c.y + ry*r*math.Sin(a)})
	}
	return out
}

// level is the ring on which f is 1, walked outwards from the centre.
func level(c xy, f func(xy) float64, far float64) []xy {
	const n = 120
	var out []xy
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		lo, hi := 0.0, far
		for range 40 {
			m := (lo + hi) / 2
			if f(xy{c.x + m*math.Cos(a), c.y + m*math.Sin(a)}) < 1 {
				lo = m
			} else {
				hi = m
			}
		}
		out = append(out, xy{c.x + lo*math.Cos(a), c.y + lo*math.Sin(a)})
	}
	return out
}

// alongside is the strip within r kilometres of a line, as one ring.
func alongside(line []xy, r, rough float64, octave int64) []xy {
	var left, right []xy
	for i := range line {
		a, b := line[max(0, i-1)], line[min(len(line)-1, i+1)]
		l := math.Hypot(b.x-a.x, b.y-a.y)
		nx, ny := -(b.y-a.y)/l, (b.x-a.x)/l
		w := r * (1 + rough*noise(line[i].x, line[i].y, 2, octave))
		left = append(left, xy{line[i].x + w*nx, line[i].y + w*ny})
		right = append(right, xy{line[i].x - w*nx, line[i].y - w*ny})
	}
	for i := len(right) - 1; i >= 0; i-- {
		left = append(left, right[i])
	}
	return left
}

func areaTable() []area {
	fine := func(line []xy) []xy { return way{points: line}.trace(0) }
	thin := func(line []xy) []xy { // every 12th point is enough for an area's edge
		var out []xy
		for i := 0; i < len(line); i += 12 {
			out = append(out, line[i])
		}
		return append(out, line[len(line)-1])
	}
	return []area{
		{level(lakeCentre, lake, 16), tags{{"natural", "water"}, {"water", "lake"}, {"intermittent", "yes"}, {"salt", "yes"}, {"name", "Lake Isker"}}},
		{alongside(thin(fine([]xy{{63.4, 69.4}, {60.6, 78.6}, {57.2, 86.6}})), 4.2, 0.25, 71), tags{{"natural", "sand"}, {"name", "Saffron Dunes"}}},
		{alongside(thin(fine(veldaRiver[3:7])), 1.3, 0.3, 72), tags{{"natural", "wetland"}, {"wetland", "wet_meadow"}}},
		{alongside(thin(fine([]xy{{29.6, 90}, {31, 84}, {33, 75}, {38, 68.5}})), 2.7, 0.25, 73), tags{{"natural", "scree"}}},
		{blob(xy{31.6, 80.9}, 1.9, 1.6, 0.2, 74), tags{{"natural", "bare_rock"}}},
		{alongside(thin(fine(cinderHills)), 2.6, 0.3, 75), tags{{"natural", "bare_rock"}, {"name", "Cinder Hills"}}},
		{alongside(thin(fine(farRange)), 3.0, 0.3, 76), tags{{"natural", "heath"}}},
		{blob(xy{16.6, 59.6}, 5.2, 7.4, 0.25, 77), tags{{"natural", "grassland"}}},
		{blob(xy{23.4, 72.4}, 3.4, 4.2, 0.3, 78), tags{{"natural", "scrub"}}},
		{blob(xy{38.4, 46.6}, 5.4, 5.0, 0.3, 79), tags{{"natural", "scrub"}}},
		{blob(xy{70.2, 63.6}, 4.0, 3.2, 0.3, 80), tags{{"natural", "scrub"}}},
		{blob(xy{12.4, 47.6}, 2.4, 3.0, 0.3, 81), tags{{"natural", "wood"}}},
		{blob(xy{21.9, 14.9}, 1.3, 0.9, 0.1, 82), tags{{"landuse", "residential"}}},
		{blob(xy{26.2, 19.0}, 3.0, 2.2, 0.2, 83), tags{{"landuse", "farmland"}}},
		{blob(xy{11.2, 52.2}, 0.7, 0.5, 0.2, 84), tags{{"landuse", "quarry"}}},
	}
}

type spot struct {
	at   xy
	tags tags
}

func spotTable() []spot {
	return []spot{
		{xy{22.05, 14.55}, tags{{"place", "village"}, {"name", "Ombrel"}, {"population", "640"}}},
		{xy{22.35, 14.06}, tags{{"amenity", "fuel"}, {"name", "Ombrel Roadhouse"}, {"fuel:diesel", "yes"}}},
		{xy{21.8, 14.3}, tags{{"amenity", "drinking_water"}}},
		{xy{21.5, 14.8}, tags{{"amenity", "clinic"}, {"name", "Ombrel Clinic"}}},
		{xy{22.2, 14.7}, tags{{"amenity", "police"}}},
		{xy{22.6, 14.2}, tags{{"shop", "car_repair"}, {"name", "Well Street Garage"}}},
		{xy{33.3, 40.15}, tags{{"place", "isolated_dwelling"}, {"name", "Isker Station"}}},
		{xy{33.35, 40.1}, tags{{"amenity", "drinking_water"}}},
		{xy{33.45, 40.05}, tags{{"emergency", "phone"}}},
		{xy{66.3, 66.4}, tags{{"natural", "spring"}, {"name", "Thistle Spring"}}},
		{xy{41.2, 87.4}, tags{{"natural", "spring"}, {"name", "Juniper Seep"}}},
		{xy{18.0, 63.2}, tags{{"natural", "spring"}}},
		{xy{30.2, 81.3}, tags{{"tourism", "wilderness_hut"}, {"name", "Hollin Hut"}}},
		{xy{12.0, 52.0}, tags{{"place", "hamlet"}, {"name", "Copperend"}}},
		{xy{12.1, 51.9}, tags{{"amenity", "drinking_water"}}},
		{xy{80.7, 52.8}, tags{{"place", "hamlet"}, {"name", "Tarn Quill"}}},
		{xy{80.6, 52.7}, tags{{"amenity", "fuel"}, {"name", "Tarn Quill Store"}, {"fuel:diesel", "yes"}}},
		{xy{80.8, 52.6}, tags{{"amenity", "telephone"}}},
		{xy{31.4, 86.1}, tags{{"natural", "peak"}, {"name", "Marrow Head"}}},
		{xy{37.6, 69.6}, tags{{"natural", "peak"}, {"name", "The Awl"}}},
		{xy{75.4, 74.2}, tags{{"natural", "peak"}, {"name", "Cinder Top"}}},
	}
}

// onWay are tags laid on the node of a way nearest to a place: gates, fords, the pass.
var onWay = []struct {
	way  string
	near xy
	tags tags
}{
	{"river-track", xy{50.4, 94.3}, tags{{"ford", "yes"}, {"name", "Upper Velda ford"}}},
	{"river-track", xy{46.1, 92.45}, tags{{"ford", "yes"}, {"name", "Lower Velda ford"}}},
	{"shore-track", xy{34.4, 42.2}, tags{{"barrier", "gate"}}},
	{"upland-track", xy{14.8, 53.2}, tags{{"barrier", "gate"}}},
	{"basin-road", xy{30.6, 25}, tags{{"barrier", "cattle_grid"}}},
	{"gap-climb", xy{30.7, 80.7}, tags{{"mountain_pass", "yes"}, {"name", "Hollin Gap"}}},
}
