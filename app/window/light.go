package window

import (
	"lastroad/app/plot"
	"lastroad/app/trip"
)

// lightAlong is the light along the route by the planned times.
func lightAlong(d *trip.Document) []plot.Daylight { return nil }
