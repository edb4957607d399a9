package geo

import (
	"time"

	"github.com/paulmach/orb"
)

// Route is the planned line as read and checked, driven in its order.
type Route struct {
	Name string
	// Line has at least two points, longitude and latitude in degrees, no two neighbours alike.
	Line orb.LineString
	// HeightM is the height of each point of Line as the file gives it, in metres above the geoid;
	// NaN where the file gives none. Its length is that of Line, or 0 when no point has a height.
	HeightM []float64
	// Time is the time stamp of each point, zero where missing; empty when no point has one.
	Time []time.Time
	// Waypoints are the named points of the file, in file order.
	Waypoints []Waypoint
	// Notes says in full sentences what the reader changed or left out (spikes, duplicates, joins).
	Notes []string
}

// Waypoint is a named point that came with the route.
type Waypoint struct {
	Name, Symbol, Comment string
	At                    orb.Point
	HeightM               float64 // NaN when the file gives none
}
