package supply_test

import (
	"testing"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/risk/supply"
)

func BenchmarkParseTables(b *testing.B) {
	data, file := assets.Table("supply")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := supply.ParseTables(data, file); err != nil {
			b.Fatal(err)
		}
	}
}

// A route of 450 km in samples of 50 m, both ways.
func BenchmarkFuelAlong(b *testing.B) {
	m := model(b, wagon)
	g := [2]supply.GroundLoad{m.OnGround(geo.Pure(geo.Sand, "")), m.OnGround(geo.Pure(geo.FirmTrack, ""))}
	segs := make([]supply.Segment, 9000)
	for i := range segs {
		segs[i] = supply.Segment{LengthM: 50, Seconds: 6, Grade: float64(i%21-10) / 100, HeightM: float64(i % 900), MassKg: 2700, Ground: g[i%2]}
	}
	b.ReportAllocs()
	for b.Loop() {
		m.Along(segs)
	}
}

func BenchmarkWaterAndWaitOfALeg(b *testing.B) {
	tab := tables(b)
	people := []supply.Person{{MassKg: 82}, {MassKg: 64}, {AgeY: 9}, {AgeY: 6}}
	c := supply.Climate{MeanC: 31, MaxC: 38, NightMinC: 23}
	b.ReportAllocs()
	for b.Loop() {
		h := tab.Help(tab.Notice(supply.Comms{Beacon: true}), supply.Site{TrackKm: 40, SettlementKm: 120})
		tab.Water(supply.WaterInput{People: people, Climate: c, ElapsedH: 5, DriveH: 4, DigH: 0.3, StrandedH: h.Stranded()})
		tab.Tau(supply.TauInput{People: people, WaterL: 60, Climate: c, BeddingC: 5})
	}
}
