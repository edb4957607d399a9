package trip_test

import (
	"context"
	"fmt"

	"lastroad/app/trip"
)

func ExampleOpen() {
	d, err := trip.Open(context.Background(), trip.Request{Files: []string{"demo"}}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %d people, %.0f km\n", d.Name(), len(d.Plan.Trip.Party.People), d.Survey.LengthM()/1000)
	for _, t := range trip.TurnBacks(d.Survey) {
		fmt.Println("no easy return for a stretch of more than 100 km:", t.ToM-t.FromM > 100e3)
	}
	// Output:
	// Isker and Hollin Gap loop: 4 people, 228 km
	// no easy return for a stretch of more than 100 km: true
}
