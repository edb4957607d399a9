package risk

// CheckIn is a time at which the party means to be heard.
type CheckIn struct {
	Title string // "evening of day 1, Thistle Camp"
	Unix  int64
	// OverdueUnix is when its absence should start the alarm: after the agreed wait, and never before slow
	// going has reached the place.
	OverdueUnix int64
	AtM         float64 // where the party is by the plan
}
