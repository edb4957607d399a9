package risk

// CheckIn is a time at which the party means to be heard.
type CheckIn struct {
	Title string // "evening of day 1, Thistle Camp"
	Unix  int64
}
