package risk

import "lastroad/risk/catalogue"

// protects are the groups of things that keep people safe, warm, fed and found. The model reckons what ends
// a trouble and how long the party can wait; what these are worth to people it reckons in part or not at all.
var protects = map[string]string{
	"people":     "it keeps people well, which the model does not value beyond how long they can wait",
	"safety":     "it is for people's safety, which the model does not value",
	"supplies":   "it keeps people fed and warm, which the model does not value beyond the drinking water",
	"comms":      "it lets the party be found, which the model values only by the best means carried; a second means is for when the first fails",
	"navigation": "it keeps the party on its way, which the model values only in part",
}

// protecting are single things of other groups that serve people's safety.
var protecting = map[string]string{
	"gloves":       "it guards hands, which the model does not value",
	"damper":       "it guards people from a parting line, which the model does not value",
	"head_torch":   "it lights the work, which the model does not value",
	"work_light":   "it lights the work, which the model does not value",
	"tarp":         "it gives shade and shelter, which the model does not value beyond the drinking water saved",
	"wheel_chocks": "they keep a vehicle from rolling over somebody, which the model does not value",
}

// unvalued says why the model cannot tell that a thing may stay at home, "" when it can.
func unvalued(it *catalogue.Item) string {
	if why, ok := protecting[it.Key]; ok {
		return why
	}
	return protects[it.Group]
}
