package supply

import "math"

// Comms are the ways in which somebody outside comes to know of a trouble.
type Comms struct {
	Beacon    bool // satellite distress beacon
	Messenger bool // two-way satellite messenger or satellite telephone
	Phone     bool // a mobile telephone works where the vehicle stands
	HF        bool // high-frequency radio with agreed times
	// PhoneAfterH is the hours to reach a place where a telephone works, by whoever can go; NaN or 0 = none.
	PhoneAfterH float64
	// Contact is true when somebody at home knows the plan and raises the alarm; OverdueH is then the
	// hours from the trouble to the alarm without a message: plan time left and agreed wait.
	Contact  bool
	OverdueH float64
}

// Notice is how and when somebody outside knows.
type Notice struct {
	Hours    Band   // from the trouble to the report
	By       string // "beacon", "messenger", "phone", "HF radio", "walk to a phone", "overdue", "nobody"
	Position bool   // the place is known to some hundred metres
}

// Notice picks the earliest way (by its central value). A way more never makes it later.
func (t *Tables) Notice(c Comms) Notice {
	h := &t.HelpTable
	best := Notice{Of(h.NoticeNobody), "nobody", false}
	try := func(b Band, by string, position bool) {
		if b.Central < best.Hours.Central {
			best.Hours, best.By = b, by
		}
		best.Position = best.Position || position
	}
	if c.Beacon {
		try(Of(h.NoticeBeacon), "beacon", true)
	}
	if c.Messenger {
		try(Of(h.NoticeMessenger), "messenger", true)
	}
	if c.Phone {
		try(Of(h.NoticePhone), "phone", true)
	}
	if c.HF {
		try(Of(h.NoticeHF), "HF radio", true)
	}
	if c.PhoneAfterH > 0 {
		try(Of(h.NoticePhone).Add(Exactly(c.PhoneAfterH)), "walk to a phone", true)
	}
	if c.Contact && c.OverdueH >= 0 {
		try(Of(h.NoticeOverdueExtra).Add(Exactly(c.OverdueH)), "overdue", false)
	}
	return best
}

// Site is where help has to come to.
type Site struct {
	TrackKm      float64 // driving distance from the nearest maintained road; NaN = unknown, read as far
	SettlementKm float64 // road distance from where helpers start to that road; NaN = unknown
	TrackKmh     float64 // speed of helpers on the track; 0 or NaN = the table's
}

// HelpTime is the time from a trouble until help is there: notice, then a lognormal arrival.
type HelpTime struct {
	Notice  Notice
	MedianH float64 // of the arrival after the notice
	EF      float64 // error factor: 95 % point over median
}

// Help estimates the time to help: order to go, making ready (roadside help near a maintained road,
// a search-and-rescue matter far from it), the road, the track, the search (short with a position)
// and the dark hours in which helpers wait. It grows with either distance.
func (t *Tables) Help(n Notice, s Site) HelpTime {
	h := &t.HelpTable
	track := s.TrackKm
	if math.IsNaN(track) {
		track = 2 * h.FarKm.Central
	}
	track = math.Max(0, track)
	road := math.Max(0, orElse(s.SettlementKm, h.SettlementKm.Central))
	speed := h.RescueTrackKmh.Central
	if s.TrackKmh > 0 {
		speed = s.TrackKmh
	}
	remote := math.Min(1, track/h.FarKm.Central)
	search := h.SearchRoute.Central
	if n.Position {
		search = h.SearchKnown.Central
	}
	median := h.Alarm.Central*remote + h.MobiliseRoad.Central + remote*(h.Mobilise.Central-h.MobiliseRoad.Central) +
		road/h.RescueRoadKmh.Central + track/speed + search*remote + h.NightHold.Central*remote
	return HelpTime{n, median, h.ErrorFactor.Central}
}

// Z95 is the 95 % point of the standard normal distribution.
const Z95 = 1.6448536269514722

// InTime is the chance that help is there within tauH hours of the trouble, the notice taken at its
// central value: Phi(ln((tau - notice)/median) / sigma), sigma = ln EF / 1.645; 0 when the notice
// alone takes longer. NaN and negative hours give 0.
func (h HelpTime) InTime(tauH float64) float64 {
	left := tauH - h.Notice.Hours.Central
	if !(left > 0) || !(h.MedianH > 0) {
		return 0
	}
	if h.EF <= 1 {
		if left >= h.MedianH {
			return 1
		}
		return 0
	}
	z := math.Log(left/h.MedianH) * Z95 / math.Log(h.EF)
	return 0.5 * math.Erfc(-z/math.Sqrt2)
}

// Stranded is the band of hours from the trouble until help: notice and arrival at their 5, 50 and
// 95 % points, added as if both were slow together.
func (h HelpTime) Stranded() Band {
	return h.Notice.Hours.Add(Band{h.MedianH / h.EF, h.MedianH, h.MedianH * h.EF})
}
