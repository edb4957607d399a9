package osm

// motorKeys are the access keys that bear on a private motor car, the most specific first, as the
// wiki page "Key:access" orders them.
var motorKeys = [...]string{"motorcar", "motor_vehicle", "vehicle", "access"}

// Access is what the law, as mapped, says about driving a way.
type Access uint8

// The kinds of access, the freest first.
const (
	Open      Access = iota // yes, permissive, designated, or no tag
	Limited                 // destination, customers, delivery, permit: for some, or on asking
	Trades                  // agricultural, forestry: for those who work there
	Private                 // with the owner's leave
	Forbidden               // no
)

var accessNames = [...]string{"open", "limited", "trades", "private", "no"}

// String is the name used in files.
func (a Access) String() string { return accessNames[a] }

// ParseAccess gives the kind for a value of an access key; a value that is not known counts as
// Limited, since it says that something restricts.
func ParseAccess(v string) Access {
	switch v {
	case "", "yes", "permissive", "designated", "public", "official", "unknown":
		return Open
	case "agricultural", "forestry", "agricultural;forestry", "forestry;agricultural", "military", "emergency":
		return Trades
	case "private":
		return Private
	case "no", "restricted", "prohibited":
		return Forbidden
	}
	return Limited
}

// MotorAccess is the value of the most specific access key that bears on a motor car ("" when there is
// none): motorcar before motor_vehicle before vehicle before access.
func (t Tags) MotorAccess() string {
	for _, k := range motorKeys {
		if v := t.Get(k); v != "" {
			return v
		}
	}
	return ""
}

// OneWay is 1 where cars may only drive in the direction of the way, -1 where only against it, else 0.
// Roundabouts and motorways are one-way unless tagged otherwise (wiki pages "Key:oneway",
// "Tag:junction=roundabout", "Tag:highway=motorway").
func (t Tags) OneWay() int {
	switch t.Get("oneway") {
	case "yes", "1", "true":
		return 1
	case "-1", "reverse":
		return -1
	case "":
		if j := t.Get("junction"); j == "roundabout" || j == "circular" {
			return 1
		}
		if t.Get("highway") == "motorway" {
			return 1
		}
	}
	return 0
}
