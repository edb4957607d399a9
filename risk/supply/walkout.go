package supply

import "math"

// WalkInput is a way out on foot.
type WalkInput struct {
	People     []Person
	Climate    Climate
	DistanceM  float64 // over the ground to a maintained road
	Minutes    float64 // walking time without rests; NaN = distance at 2 km/h, the slow end off a path
	DaylightH  float64 // light left; NaN = not known: then not in reach
	NightOK    bool    // the way can be kept in the dark (road or plain track)
	WaterL     float64 // water that can be carried away; the rest stays with those who stay
	RoadSure   bool    // the road is certainly there and used
	MaxWeightK float64 // kg each that the people can carry; 0 = a third of the lightest adult's mass
}

// WalkOut is what walking out asks. It is never the first choice: staying with the vehicle is.
type WalkOut struct {
	Hours    Band    // with rests; High reads the distance up to three times as long, as people misjudge it in open country
	WaterL   Band    // for all walkers
	ByNight  bool    // only the cool hours will do
	InReach  bool    // water, load, heat and light allow it
	Fails    string  // why not, "" when in reach
	CarryKg  float64 // water each, at WaterL.Central
	Cautions []string
}

var walkCautions = []string{
	"Stay with the vehicle: it is shade and shelter and is found long before a walking person. People died after leaving vehicles that were found first.",
	"Walk only when help is certain not to come, the road is certainly in reach, in the cool hours, with water, and after leaving a note with time, names and direction and marking the way.",
}

// WalkOut judges a way out on foot: it must fit the heat, the light, the water and what people can
// carry. More heat, distance or people never lower the need.
func (t *Tables) WalkOut(in WalkInput) WalkOut {
	w := &t.Walkout
	c := in.Climate.Filled()
	km := math.Max(0, orElse(in.DistanceM, math.Inf(1))) / 1000
	h := math.Max(0, in.Minutes) / 60
	if math.IsNaN(in.Minutes) {
		h = km / 2
	}
	out := WalkOut{Cautions: walkCautions}
	out.Hours = Band{h * (1 + w.RestShare.Low), h * (1 + w.RestShare.Central), h * (1 + w.RestShare.High)}
	if !in.RoadSure {
		out.Hours.High *= w.DistanceError.High
	}
	out.ByNight = c.MaxC > w.HotLimit.Central
	perKm := Of(w.DayWater)
	if out.ByNight {
		perKm = Of(w.NightWater)
	}
	adults := t.Shares(in.People)
	r := t.Rates(c)
	perHour := r.Base.Add(r.Moderate)
	if out.ByNight {
		perHour = r.Base.Add(r.Drive) // without the sun
	}
	out.WaterL = perKm.Scale(km).Max(perHour.Times(out.Hours)).Scale(adults)
	lightest := math.Inf(1)
	for _, p := range in.People {
		if !t.Child(p) {
			kg, _ := t.Mass(p)
			lightest = math.Min(lightest, kg)
		}
	}
	carriers := 0
	for _, p := range in.People {
		if !t.Child(p) {
			carriers++
		}
	}
	limit := in.MaxWeightK
	if !(limit > 0) {
		limit = w.LoadShare.Central * lightest
	}
	if carriers > 0 {
		out.CarryKg = out.WaterL.Central / float64(carriers)
	}
	switch {
	case math.IsInf(km, 1):
		out.Fails = "the distance to a road is not known"
	case carriers == 0:
		out.Fails = "no adult can walk"
	case out.ByNight && !in.NightOK:
		out.Fails = "it is too hot to walk by day, and the way cannot be kept in the dark"
	case !out.ByNight && !in.NightOK && math.IsNaN(in.DaylightH):
		out.Fails = "the daylight left is not known without the time of starting"
	case !out.ByNight && !in.NightOK && out.Hours.Central > in.DaylightH:
		out.Fails = "the daylight left is too short"
	case out.WaterL.Central > orElse(in.WaterL, 0):
		out.Fails = "the water does not last"
	case out.CarryKg > limit:
		out.Fails = "the water for it is too heavy to carry"
	default:
		out.InReach = true
	}
	return out
}

// WalkOutWater is the least water of the Gulf War desert memo for a distance on foot, litres for one
// adult: 1 US gal for 20 mi by night, 2 by day.
func (t *Tables) WalkOutWater(distanceM float64, byNight bool) float64 {
	if byNight {
		return t.Walkout.NightWater.Central * distanceM / 1000
	}
	return t.Walkout.DayWater.Central * distanceM / 1000
}

// Terrain is the coefficient of Soule and Goldman for a kind of ground on foot: "blacktop", "dirt",
// "light_brush", "heavy_brush", "bog", "sand"; ok is false for another word.
func (t *Tables) Terrain(kind string) (eta float64, ok bool) {
	w := &t.Walkout
	switch kind {
	case "blacktop":
		return w.EtaBlacktop.Central, true
	case "dirt":
		return w.EtaDirt.Central, true
	case "light_brush":
		return w.EtaLightBrush.Central, true
	case "heavy_brush":
		return w.EtaHeavyBrush.Central, true
	case "bog":
		return w.EtaBog.Central, true
	case "sand":
		return w.EtaSand.Central, true
	}
	return 0, false
}
