package supply

// SignalMinute is the pattern of one minute of the alpine distress signal and its reply: offsets in
// seconds at which a signal (light, whistle, shout) is given, followed by a minute of silence, and
// then all over again. Call: six a minute; reply: three a minute (Dent 1894).
func SignalMinute(reply bool) []float64 {
	if reply {
		return []float64{0, 20, 40}
	}
	return []float64{0, 10, 20, 30, 40, 50}
}

// SignalPeriod is the seconds after which the alpine pattern starts again.
const SignalPeriod = 120.0

// GroundSignal is a sign laid out or trodden for aircraft.
type GroundSignal struct{ Sign, Meaning string }

// GroundSignals are the signs that survivors lay out (ICAO Annex 12 appendix): at least 2.5 m long,
// in contrast to the ground.
func GroundSignals() []GroundSignal {
	return []GroundSignal{
		{"V", "require assistance"},
		{"X", "require medical assistance"},
		{"N", "no"},
		{"Y", "yes"},
		{"arrow", "proceeding in this direction"},
	}
}
