package osm

import (
	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Credit is the line that must be shown wherever OpenStreetMap data are.
const Credit = "© OpenStreetMap contributors, ODbL 1.0"

// Region is the ground data around a route. It is not changed after it was read; its slices are in
// file order and shared, so callers must not write to them.
type Region struct {
	Ways      []Way
	Areas     []Area
	Waterways []Line
	Cliffs    []Line // cliffs and embankments that stop a person on foot
	Nodes     []Node // fords, gates, blocks, passes and peaks
	Places    []geo.Place

	// Box is the extent of all nodes of the file, kept or not; it is empty (Box.IsEmpty) for a file
	// without nodes. Declared is the box that the file's header gives, empty when it gives none: ways
	// that cross its border are whole in most extracts, so Box is larger.
	Box, Declared orb.Bound
	// Outline is the convex outline of all nodes of the file within the declared box, closed, anticlockwise; empty
	// as Box. A country's extract fills it far better than its box.
	Outline []orb.Ring
	// Corridor is what was asked for; its Line is empty when everything was kept.
	Corridor Corridor

	// File counts every element of the file or files, kept or not.
	File FileCounts
	// Sources are the names of the files, Credit the lines to show for them.
	Sources []string
	Credit  []string
	// Notes says in full sentences what was left out or put right.
	Notes []string

	kept *mask // of Corridor; nil = everything
}

// FileCounts counts the elements of a file.
type FileCounts struct {
	Nodes, Ways, Relations int64
	// Timestamp is the state of the data as the file's header tells it, "" when it does not.
	Timestamp string
	// BrokenWays and BrokenRelations are wanted ones that lacked nodes or members, or did not close;
	// they were shortened, or left out.
	BrokenWays, BrokenRelations int64
}

// Way is a road, track or path. Line and Nodes are of the same length, at least 2.
type Way struct {
	ID   int64
	Tags Tags
	Line orb.LineString
	// Nodes are the node ids of the points of Line, by which ways meet. For lines read from GeoJSON
	// they are negative numbers, the same for the same position.
	Nodes []int64
}

// Highway is the value of the highway tag.
func (w *Way) Highway() string { return w.Tags.Get("highway") }

// Info is what the survey keeps of a way; Kept is left false for the caller to set.
func (w *Way) Info() geo.WayInfo {
	t := w.Tags
	return geo.WayInfo{
		ID: w.ID, Highway: t.Get("highway"), Name: firstOf(t.Get("name"), t.Get("ref")),
		Surface: t.Get("surface"), TrackType: t.Get("tracktype"), Smoothness: t.Get("smoothness"),
		Access: t.MotorAccess(), Bridge: t.Yes("bridge"), Tunnel: t.Yes("tunnel"),
		FourWDOnly: t.Yes("4wd_only"), Seasonal: t.Yes("seasonal"), OneWay: t.OneWay() != 0,
	}
}

// Area is a polygon, perhaps with holes and several parts, of one kind of ground cover.
type Area struct {
	ID       int64
	Relation bool // ID is that of a multipolygon relation, not of a way
	Kind     AreaKind
	Tags     Tags
	// Polygons has closed rings of at least four points, outer anticlockwise and holes clockwise.
	Polygons orb.MultiPolygon
	Bound    orb.Bound
}

// Line is a watercourse or a cliff.
type Line struct {
	ID   int64
	Kind LineKind
	Tags Tags
	Line orb.LineString
	// Intermittent watercourses carry water only at times.
	Intermittent bool
}

// Node is a point that matters on or beside a way.
type Node struct {
	ID   int64
	Kind NodeKind
	At   orb.Point
	Tags Tags
	// Ways are the indices in Region.Ways of the ways that it lies on, ascending.
	Ways []int32
}

func firstOf(s ...string) string {
	for _, v := range s {
		if v != "" {
			return v
		}
	}
	return ""
}
