package geo

import "github.com/paulmach/orb"

// Survey is everything that was measured along a route. It is made once per route, region and
// heights, and never changed afterwards; edits make a new one.
type Survey struct {
	Route Route
	// Step is the spacing of the samples in metres (the last step may be shorter).
	StepM float64
	// Samples lie StepM apart along Route.Line; the first is its start, the last its end.
	Samples []Sample
	// Grounds are the distinct mixtures; Sample.Ground is an index into it.
	Grounds []GroundMix
	// Ways are the distinct ways the route follows; Sample.Way is an index into it, -1 for off-way.
	Ways []WayInfo
	// Legs cover the samples without gap or overlap, in order.
	Legs []Leg
	// Marks are the point features on the line: fords, gates, bridges, in order of DistanceM.
	Marks []Mark
	// Premises are the figures of the tables that the chances of marks rest on, each once; see Mark.Rests. None in
	// surveys that were saved without them.
	Premises []Premise
	// Help are the places of help in reach, nearest to the line first within a kind.
	Help []Place
	// Exits are where the route is left for a place of help by driving, by kind and then along the route; see
	// HelpAhead, HelpBack and HelpDrive.
	Exits []Exit
	// Sources tells where each kind of fact comes from ("heights: N42E001.hgt"), for the credits line.
	Sources []string
	// Notes says in full sentences what is unknown or was put right ("km 12.0 to 31.5 lie outside the region file").
	Notes []string
}

// Sample is one measured point of the route. Unknown numbers are NaN.
type Sample struct {
	DistanceM float64 // along the route on the ellipsoid, from its start
	Lon, Lat  float64 // degrees

	Way       int32  // index into Survey.Ways; -1 = not on a mapped way, or no region
	Ground    uint16 // index into Survey.Grounds
	InRegion  bool   // the region data cover this place
	Kept      bool   // the way here counts as a maintained road
	HeightM   float64
	Grade     float64 // rise over run in driving direction, of the smoothed profile
	GradeBand float64 // half-width of the 95 % band of Grade
	Side      float64 // side slope across the line, rise over run, >= 0
	SideBand  float64 // half-width of the 95 % band of Side

	RoadM  float64   // straight metres to the nearest maintained road (0 on one)
	RoadAt orb.Point // the nearest point of that road
	// RoadAtMost is true where a nearer road may lie beyond the edge of the data: RoadM is then the most it can be.
	RoadAtMost bool
	DriveM     float64 // driving metres along ways and the route to a maintained road, the quickest way
	DriveMin   float64 // minutes for DriveM
	// AheadM and BackM are the driving metres along the route itself, going on or turning back, to the
	// first maintained road it meets, or to its end and on from there by the quickest way; AheadMin and
	// BackMin the minutes for them. DriveM may be less: it takes any way that leads out.
	AheadM, AheadMin, BackM, BackMin float64
	WalkMin                          float64 // minutes on foot to the nearest maintained road over the ground
	WalkEst                          bool    // WalkMin is straight distance with a stated detour factor, not a surface

	// EdgeM is how far from here the ground data surely reach, straight metres: what lies nearer than this they
	// would show. 0 outside them, NaN in surveys that were saved without it.
	EdgeM float64
	// HelpM and HelpAt are, for each kind of help, the straight metres to the nearest place and its
	// index into Survey.Help (-1 when none is known).
	HelpM  [NumHelp]float64
	HelpAt [NumHelp]int32

	DriveS float64 // seconds of driving from the start of the route to here, without stops
}

// WayInfo is what the region says of a way that the route follows.
type WayInfo struct {
	ID                                                 int64
	Highway, Name, Surface, TrackType, Smoothness      string
	Access                                             string // the most restrictive motor access tag, "" when none
	Bridge, Tunnel, FourWDOnly, Seasonal, OneWay, Kept bool
}

// Premise is a figure of the tables that a survey rests on and that a judgement may doubt.
type Premise struct {
	Key   string `json:"key"`   // its path in the table of grounds ("crossing.stream")
	Title string `json:"title"` // in words
	Figure
}

// MarkKind is the kind of a point feature on the line.
type MarkKind uint8

// The kinds of marks.
const (
	MarkFord MarkKind = iota
	MarkGate
	MarkBridge
	MarkTunnel
	MarkPass
	MarkStop // a stop or camp set by the user
	MarkPrivate
	MarkWater // a watercourse that the line crosses without a tag for bridge, culvert or ford: perhaps a ford
	NumMarks  // number of kinds
)

// Mark is a point feature on the line.
type Mark struct {
	Kind      MarkKind
	DistanceM float64
	At        orb.Point
	Name      string
	Detail    string // the tag it rests on ("ford=yes", "barrier=gate")
	OSM       int64
	// Chance is, for a MarkWater, how likely one drives through the water there, 0..1.
	Chance float64
	// Rests are the premises that Chance is the product of, by their central values: numbers in Survey.Premises
	// counted from 1, 0 = none.
	Rests [2]uint16
	// WaterL and Fuel are what the user says is taken on at a stop: litres of drinking water, and a full tank
	// and cans. They are declarations, never read from the map.
	WaterL float64
	Fuel   bool
}

// HelpKind is a kind of place that can end a trouble.
type HelpKind uint8

// The kinds of help.
const (
	HelpFuel HelpKind = iota
	HelpWater
	HelpSpring
	HelpSettlement
	HelpMedical
	HelpPolice // police, fire station, ranger
	HelpHut    // staffed or open hut, shelter
	HelpWorkshop
	HelpPhone
	NumHelp
)

var helpKeys = [NumHelp]string{"fuel", "water", "spring", "settlement", "medical", "police", "hut", "workshop", "phone"}

// Key is the name used in files.
func (k HelpKind) Key() string { return helpKeys[k] }

// Place is a place of help.
type Place struct {
	Kind HelpKind
	Name string
	At   orb.Point
	OSM  int64  // element id, 0 when not from OpenStreetMap
	Tag  string // the tag it rests on ("amenity=fuel")
	// OffM is the straight distance from the route in metres, RouteM where along the route it is nearest.
	OffM, RouteM float64
}

// Leg is a stretch of the route judged as one: samples From..To, both included; the next leg begins
// with the sample that ends this one.
type Leg struct {
	Name     string
	From, To int
	// Locked legs were set by the user and are not re-cut.
	Locked bool
	// Why says why the leg begins here ("start", "leaves the maintained road", "your stop", "steeper", "ground changes").
	Why string
}

// FromM is the distance at which leg i starts.
func (s *Survey) FromM(i int) float64 { return s.Samples[s.Legs[i].From].DistanceM }

// ToM is the distance at which leg i ends.
func (s *Survey) ToM(i int) float64 { return s.Samples[s.Legs[i].To].DistanceM }

// LengthM is the length of the whole route on the ellipsoid.
func (s *Survey) LengthM() float64 {
	if len(s.Samples) == 0 {
		return 0
	}
	return s.Samples[len(s.Samples)-1].DistanceM
}
