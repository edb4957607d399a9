package osm

import "strings"

// Tag is one key and its value.
type Tag struct{ Key, Value string }

// Tags are the tags of an element that the program has a use for (see [KeptKeys]), in file order.
// Values have their outer blanks cut off; the values of smoothness, surface, tracktype, highway and
// access keys are in lower case with an underscore for a blank ("very bad" becomes "very_bad").
type Tags []Tag

// Get is the value of a key, "" when the element does not have it. The first wins where a broken
// file gives a key twice.
func (t Tags) Get(key string) string {
	for i := range t {
		if t[i].Key == key {
			return t[i].Value
		}
	}
	return ""
}

// Has reports whether the tag key=value is among them.
func (t Tags) Has(key, value string) bool { return t.Get(key) == value && value != "" }

// Yes reports whether the key is set to something other than "no", "0" or "false".
func (t Tags) Yes(key string) bool {
	switch t.Get(key) {
	case "", "no", "0", "false":
		return false
	}
	return true
}

// keyUse says what a key is kept for.
type keyUse uint8

const (
	keep      keyUse = 1 << iota // its value is kept on a kept element
	nodeKey                      // a node with it may be a place of help or a point on the way
	wayKey                       // a way or relation with it may be a way, area, line or place
	plainWord                    // its values are words: lower case, underscore for a blank
	placeKey                     // it may make a place of help
)

// keys are all keys that are kept, by what they are for. Every other tag of a file is passed over.
var keys = map[string]keyUse{
	"name":    keep,
	"name:en": keep,
	"ref":     keep,

	"highway":    keep | nodeKey | wayKey | plainWord,
	"surface":    keep | plainWord,
	"tracktype":  keep | plainWord,
	"smoothness": keep | plainWord,
	"width":      keep,
	"est_width":  keep,
	"maxwidth":   keep,
	"maxheight":  keep,
	"maxweight":  keep,
	"maxspeed":   keep,
	"incline":    keep,
	"lanes":      keep,
	"mtb:scale":  keep,
	"sac_scale":  keep,

	"ford":              keep | nodeKey | wayKey | plainWord,
	"depth":             keep,
	"bridge":            keep | plainWord,
	"tunnel":            keep | plainWord,
	"layer":             keep,
	"covered":           keep,
	"access":            keep | plainWord,
	"vehicle":           keep | plainWord,
	"motor_vehicle":     keep | plainWord,
	"motorcar":          keep | plainWord,
	"hgv":               keep | plainWord,
	"foot":              keep | plainWord,
	"oneway":            keep | plainWord,
	"junction":          keep | plainWord,
	"service":           keep | plainWord,
	"4wd_only":          keep | plainWord,
	"seasonal":          keep | plainWord,
	"winter_road":       keep | plainWord,
	"ice_road":          keep | plainWord,
	"winter_service":    keep | plainWord,
	"abandoned":         keep,
	"disused":           keep,
	"abandoned:highway": keep,
	"disused:highway":   keep,
	"construction":      keep,
	"impassable":        keep,
	"hazard":            keep,
	"area":              keep,
	"man_made":          keep | nodeKey | wayKey | placeKey,
	"locked":            keep,

	"natural":          keep | nodeKey | wayKey | placeKey | plainWord,
	"landuse":          keep | wayKey | plainWord,
	"wetland":          keep | plainWord,
	"leaf_type":        keep,
	"water":            keep | plainWord,
	"salt":             keep,
	"intermittent":     keep,
	"tidal":            keep,
	"desert":           keep,
	"leisure":          keep | wayKey | plainWord,
	"aeroway":          keep | wayKey | plainWord,
	"geological":       keep | wayKey | plainWord,
	"waterway":         keep | nodeKey | wayKey | placeKey | plainWord,
	"barrier":          keep | nodeKey | wayKey | plainWord,
	"place":            keep | nodeKey | wayKey | placeKey | plainWord,
	"population":       keep,
	"mountain_pass":    keep | nodeKey,
	"ele":              keep,
	"amenity":          keep | nodeKey | wayKey | placeKey | plainWord,
	"shop":             keep | nodeKey | wayKey | placeKey | plainWord,
	"tourism":          keep | nodeKey | wayKey | placeKey | plainWord,
	"emergency":        keep | nodeKey | wayKey | placeKey | plainWord,
	"healthcare":       keep | nodeKey | wayKey | placeKey | plainWord,
	"craft":            keep | nodeKey | wayKey | placeKey | plainWord,
	"government":       keep | plainWord,
	"office":           keep | plainWord,
	"drinking_water":   keep | plainWord,
	"shelter_type":     keep | plainWord,
	"opening_hours":    keep,
	"fuel:diesel":      keep,
	"fuel:octane_95":   keep,
	"service:vehicle":  keep,
	"type":             keep,
	"information":      keep | plainWord,
	"ranger_station":   keep,
	"service:tyres":    keep,
	"motorcycle":       keep,
	"trail_visibility": keep,
}

// KeptKeys reports whether a tag with this key is kept when an element is.
func KeptKeys(key string) bool { return keys[key]&keep != 0 }

// cleanValue brings a value to the form in which [Tags] keeps it.
func cleanValue(use keyUse, v string) string {
	v = strings.TrimSpace(v)
	if use&plainWord == 0 {
		return v
	}
	for i := 0; i < len(v); i++ {
		if c := v[i]; c == ' ' || c >= 'A' && c <= 'Z' {
			return strings.ReplaceAll(strings.ToLower(v), " ", "_")
		}
	}
	return v
}
