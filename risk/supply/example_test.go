package supply_test

import (
	"fmt"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/risk/supply"
)

// A family of four crosses a hot desert leg of 90 km in four hours, with a beacon.
func Example() {
	t, err := supply.ParseTables(assets.Table("supply"))
	if err != nil {
		fmt.Println(err)
		return
	}
	family := []supply.Person{{AgeY: 41, MassKg: 82}, {AgeY: 39, MassKg: 66}, {AgeY: 10}, {AgeY: 7}}
	weather := supply.Climate{MeanC: 30, MaxC: 37, NightMinC: 22}

	help := t.Help(t.Notice(supply.Comms{Beacon: true}), supply.Site{TrackKm: 45, SettlementKm: 130})
	water := t.Water(supply.WaterInput{People: family, Climate: weather, ElapsedH: 5, DriveH: 4, DigH: 0.3, StrandedH: help.Stranded()})
	wait := t.Tau(supply.TauInput{People: family, WaterL: 60, Climate: weather, BeddingC: 5})
	fmt.Printf("help after %.0f h, by the slow reckoning %.0f h\n", help.Stranded().Central, help.Stranded().High)
	fmt.Printf("carry %.0f L for %.1f adults; 60 L last %.0f h, the chance that help is there by then is %.2f\n",
		water.Design, water.Adults, wait.Hours, help.InTime(wait.Hours))

	fuel, err := t.Fuel(supply.FuelVehicle{Fuel: supply.Diesel, SealedLPer100: 11, MassKg: 2700, EngineL: 3})
	if err != nil {
		fmt.Println(err)
		return
	}
	use := fuel.Use(supply.Segment{LengthM: 90e3, Seconds: 4 * 3600, MassKg: 2900, Ground: fuel.OnGround(geo.Pure(geo.Sand, "typed"))})
	fmt.Printf("fuel %.0f L, %.0f to %.0f\n", use.Central, use.Low, use.High)
	// Output:
	// help after 17 h, by the slow reckoning 54 h
	// carry 56 L for 3.5 adults; 60 L last 89 h, the chance that help is there by then is 0.99
	// fuel 23 L, 16 to 45
}
