package supply

import "math"

// TimeLeg is a leg as the clock sees it.
type TimeLeg struct {
	ToM         float64 // its end along the route, metres; legs follow each other from 0
	MoveS       float64 // seconds of driving by day
	Unsealed    bool    // slower by night
	Recoveries  float64 // expected number of recoveries
	RecoveryMin float64 // minutes of each
	// RecoveriesHigh is their number at the slow end; 0 = the expected one and two standard deviations of a
	// Poisson count.
	RecoveriesHigh float64
	AirDown        bool    // tyres are let down at its beginning
	CompressorMin  float64 // to pump them up at its end; NaN = no compressor, counted as 0
	CheckIn        bool    // a message is due at its end
}

// LegTime is the time of a leg in minutes, by day.
type LegTime struct {
	Move, Stops, Recovery, Air, Total Band
}

// LegTime adds up driving, breaks by crew, expected recoveries and work on the tyres. Breaks count in
// proportion to the driving (a quarter hour of driving brings its share of the next break), so the
// halves of a leg add up to the whole.
func (t *Tables) LegTime(leg TimeLeg, people []Person) LegTime {
	f := &t.TimeTable
	move := math.Max(0, orElse(leg.MoveS, 0)) / 60
	out := LegTime{Move: Of(f.DriveSpread).Scale(move)}
	every, length := f.BreakEvery, f.BreakMin
	for _, p := range people {
		if p.AgeY > 0 && p.AgeY < f.ChildBelow.Central {
			every, length = f.ChildBreakEvery, f.ChildBreakMin
			break
		}
	}
	out.Stops = Band{
		out.Move.Low / (60 * every.High) * length.Low,
		out.Move.Central / (60 * every.Central) * length.Central,
		out.Move.High / (60 * every.Low) * length.High,
	}
	r := math.Max(0, orElse(leg.Recoveries, 0)) * math.Max(0, orElse(leg.RecoveryMin, 0))
	// Recoveries come whole: mostly none, at the slow end the expected number and two standard deviations of a Poisson count.
	n := math.Max(0, orElse(leg.Recoveries, 0))
	out.Recovery = Band{0, r, r}
	if n > 0 {
		most := n + 2*math.Sqrt(n)
		if leg.RecoveriesHigh >= n {
			most = leg.RecoveriesHigh
		}
		out.Recovery.High = most * math.Max(0, orElse(leg.RecoveryMin, 0))
	}
	if leg.AirDown {
		out.Air = Of(f.AirDown)
	}
	out.Air = out.Air.Add(Exactly(math.Max(0, orElse(leg.CompressorMin, 0))))
	out.Total = out.Move.Add(out.Stops).Add(out.Recovery).Add(out.Air)
	return out
}
