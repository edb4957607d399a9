package survey

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"testing"

	"lastroad/geo"
)

func TestWriteCSV(t *testing.T) {
	s := small(t)
	s.Samples[2].RoadM = math.NaN()
	var b bytes.Buffer
	if err := WriteCSV(&b, s); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != len(s.Samples)+1 {
		t.Fatalf("%d rows for %d samples", len(rows), len(s.Samples))
	}
	col := map[string]int{}
	for i, n := range rows[0] {
		col[n] = i
	}
	for _, n := range []string{"distance_m", "lat", "lon", "way_id", "ground", "height_m", "grade", "side_slope", "road_m", "drive_min", "walk_min", "leg"} {
		if _, ok := col[n]; !ok {
			t.Errorf("there is no column %s", n)
		}
	}
	if v := rows[3][col["road_m"]]; v != "" {
		t.Errorf("an unknown distance is written as %q, want an empty cell", v)
	}
	if v := rows[1][col["side_slope"]]; v != "" {
		t.Errorf("an unknown side slope is written as %q, want an empty cell", v)
	}
	for i, r := range rows[1:] {
		leg, err := strconv.Atoi(r[col["leg"]])
		if err != nil || leg < 1 || leg > len(s.Legs) || i < s.Legs[leg-1].From || i > s.Legs[leg-1].To {
			t.Fatalf("sample %d is said to be in leg %s", i, r[col["leg"]])
		}
		if i < len(s.Samples)-1 && i == s.Legs[leg-1].To {
			t.Fatalf("sample %d ends leg %d, but the next one begins with it", i, leg)
		}
		if lat, _ := strconv.ParseFloat(r[col["lat"]], 64); math.Abs(lat-s.Samples[i].Lat) > 1e-7 {
			t.Fatalf("sample %d: lat %s, want %.7f", i, r[col["lat"]], s.Samples[i].Lat)
		}
	}
	b.Reset()
	if err := WriteCSV(&b, &geo.Survey{}); err != nil || bytes.Count(b.Bytes(), []byte("\n")) != 1 {
		t.Errorf("an empty survey gives %q, %v; want the row of names", b.String(), err)
	}
}
