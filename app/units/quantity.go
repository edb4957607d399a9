package units

import "strings"

// Quantity is what a number measures; it fixes the base unit.
type Quantity uint8

// The quantities with their base units.
const (
	Number      Quantity = iota // plain number
	Distance                    // metres, along a route
	Length                      // metres, of things and heights
	Small                       // metres, of small things (rope, clearance, tread)
	Area                        // square metres
	Mass                        // kilograms
	Volume                      // litres
	Pressure                    // kilopascals
	Temperature                 // degrees Celsius
	Difference                  // degrees Celsius, between two temperatures
	Force                       // kilonewtons
	Consumption                 // litres per 100 km
	Speed                       // kilometres an hour
	Duration                    // seconds
	Angle                       // degrees
	Share                       // 1 = 100 %
	Flow                        // litres a minute
	Energy                      // kilocalories
	numQuantities
)

var quantityNames = [numQuantities]string{"number", "distance", "length", "size", "area", "mass", "volume", "pressure", "temperature",
	"temperature difference", "force", "consumption", "speed", "duration", "angle", "share", "flow", "energy"}

// String is the English name of q.
func (q Quantity) String() string {
	if q >= numQuantities {
		return "quantity"
	}
	return quantityNames[q]
}

// System is a family of units.
type System uint8

// The systems. Imperial is the mixed use of Britain: miles, imperial gallons, psi and degrees Celsius.
const (
	Metric System = iota
	US
	Imperial
)

// Key is the name used in files.
func (s System) Key() string { return [...]string{"metric", "us", "imperial"}[min(s, Imperial)] }

// ParseSystem finds a system by its key.
func ParseSystem(key string) (System, bool) {
	for s := Metric; s <= Imperial; s++ {
		if s.Key() == key {
			return s, true
		}
	}
	return Metric, false
}

// Exact definitions: international yard and pound (1959), US gallon of 231 cubic inches, imperial
// gallon of 4.54609 L, standard acceleration 9.80665 m/s2, thermochemical calorie.
const (
	MetresPerMile     = 1609.344
	MetresPerFoot     = 0.3048
	MetresPerInch     = 0.0254
	KgPerPound        = 0.45359237
	LitresPerUSGallon = 3.785411784
	LitresPerUKGallon = 4.54609
	KPaPerPSI         = KgPerPound * 9.80665 / (MetresPerInch * MetresPerInch) / 1000
	KNPerPoundForce   = KgPerPound * 9.80665 / 1000
	// L/100 km = MilesPerUSGallon100 / mpg (US), and the like for imperial gallons.
	MilesPerUSGallon100 = 100 * LitresPerUSGallon / (MetresPerMile / 1000)
	MilesPerUKGallon100 = 100 * LitresPerUKGallon / (MetresPerMile / 1000)
)

// unit is a way of writing a quantity: base = value x factor + offset, or base = factor / value.
type unit struct {
	symbol  string
	names   []string // further spellings, lower case; the symbol itself is always read
	factor  float64
	offset  float64
	inverse bool
	digits  int // decimals shown at values around 1
}

func (u unit) toBase(v float64) float64 {
	if u.inverse {
		return u.factor / v
	}
	return v*u.factor + u.offset
}

func (u unit) fromBase(v float64) float64 {
	if u.inverse {
		return u.factor / v
	}
	return (v - u.offset) / u.factor
}

const nbsp = "\u00a0" // between number and unit, so that lines do not break there

var tables = [numQuantities][]unit{
	Number: {{symbol: "", factor: 1, digits: 2}},
	Distance: {
		{symbol: "km", names: []string{"kms", "kilometre", "kilometres", "kilometer", "kilometers"}, factor: 1000, digits: 1},
		{symbol: "m", names: []string{"metre", "metres", "meter", "meters"}, factor: 1, digits: 0},
		{symbol: "mi", names: []string{"mile", "miles"}, factor: MetresPerMile, digits: 1},
		{symbol: "ft", names: []string{"'", "foot", "feet"}, factor: MetresPerFoot, digits: 0},
		{symbol: "yd", names: []string{"yard", "yards"}, factor: 3 * MetresPerFoot, digits: 0},
		{symbol: "NM", names: []string{"nmi"}, factor: 1852, digits: 1},
	},
	Length: {
		{symbol: "m", names: []string{"metre", "metres", "meter", "meters"}, factor: 1, digits: 2},
		{symbol: "cm", factor: 0.01, digits: 0},
		{symbol: "mm", factor: 0.001, digits: 0},
		{symbol: "km", factor: 1000, digits: 2},
		{symbol: "ft", names: []string{"'", "foot", "feet"}, factor: MetresPerFoot, digits: 1},
		{symbol: "in", names: []string{"\"", "inch", "inches"}, factor: MetresPerInch, digits: 1},
		{symbol: "yd", names: []string{"yard", "yards"}, factor: 3 * MetresPerFoot, digits: 1},
	},
	Small: {
		{symbol: "mm", factor: 0.001, digits: 0},
		{symbol: "cm", factor: 0.01, digits: 1},
		{symbol: "m", factor: 1, digits: 3},
		{symbol: "in", names: []string{"\"", "inch", "inches"}, factor: MetresPerInch, digits: 2},
		{symbol: "ft", names: []string{"'", "foot", "feet"}, factor: MetresPerFoot, digits: 2},
	},
	Area: {
		{symbol: "m²", names: []string{"m2", "sqm"}, factor: 1, digits: 2},
		{symbol: "ft²", names: []string{"ft2", "sqft"}, factor: MetresPerFoot * MetresPerFoot, digits: 1},
	},
	Mass: {
		{symbol: "kg", names: []string{"kilogram", "kilograms", "kilo", "kilos"}, factor: 1, digits: 1},
		{symbol: "g", names: []string{"gram", "grams"}, factor: 0.001, digits: 0},
		{symbol: "t", names: []string{"tonne", "tonnes"}, factor: 1000, digits: 2},
		{symbol: "lb", names: []string{"lbs", "pound", "pounds"}, factor: KgPerPound, digits: 0},
		{symbol: "oz", names: []string{"ounce", "ounces"}, factor: KgPerPound / 16, digits: 0},
		{symbol: "st", names: []string{"stone"}, factor: 14 * KgPerPound, digits: 1},
	},
	Volume: {
		{symbol: "L", names: []string{"litre", "litres", "liter", "liters", "ltr"}, factor: 1, digits: 1},
		{symbol: "mL", names: []string{"cm3", "cc"}, factor: 0.001, digits: 0},
		{symbol: "US gal", names: []string{"usgal", "us gallon", "us gallons", "gal us", "gal (us)"}, factor: LitresPerUSGallon, digits: 1},
		{symbol: "US qt", names: []string{"usqt", "qt", "quart", "quarts"}, factor: LitresPerUSGallon / 4, digits: 1},
		{symbol: "imp gal", names: []string{"impgal", "uk gal", "ukgal", "imp gallon", "imp gallons", "uk gallon", "uk gallons", "gal (uk)", "gal uk"}, factor: LitresPerUKGallon, digits: 1},
	},
	Pressure: {
		{symbol: "kPa", factor: 1, digits: 0},
		{symbol: "bar", factor: 100, digits: 2},
		{symbol: "psi", names: []string{"lb/in2", "lbf/in2"}, factor: KPaPerPSI, digits: 0},
		{symbol: "hPa", names: []string{"mbar"}, factor: 0.1, digits: 0},
	},
	Temperature: {
		{symbol: "°C", names: []string{"c", "degc", "deg c", "celsius"}, factor: 1, digits: 0},
		{symbol: "°F", names: []string{"f", "degf", "deg f", "fahrenheit"}, factor: 5.0 / 9, offset: -160.0 / 9, digits: 0},
	},
	Difference: {
		{symbol: "K", names: []string{"°c", "c", "kelvin"}, factor: 1, digits: 0},
		{symbol: "°F", names: []string{"f"}, factor: 5.0 / 9, digits: 0},
	},
	Force: {
		{symbol: "kN", factor: 1, digits: 1},
		{symbol: "N", names: []string{"newton", "newtons"}, factor: 0.001, digits: 0},
		{symbol: "kgf", names: []string{"kp", "kg"}, factor: 9.80665e-3, digits: 0},
		{symbol: "tf", names: []string{"t"}, factor: 9.80665, digits: 2},
		{symbol: "lbf", names: []string{"lb", "lbs"}, factor: KNPerPoundForce, digits: 0},
	},
	Consumption: {
		{symbol: "L/100 km", names: []string{"l/100km", "l/100", "litres per 100 km"}, factor: 1, digits: 1},
		{symbol: "km/L", names: []string{"kml", "kmpl"}, factor: 100, inverse: true, digits: 1},
		{symbol: "mpg (US)", names: []string{"mpg us", "mpgus", "us mpg", "mi/us gal"}, factor: MilesPerUSGallon100, inverse: true, digits: 1},
		{symbol: "mpg (UK)", names: []string{"mpg uk", "mpguk", "uk mpg", "mpg imp", "mpg (imp)", "mi/imp gal"}, factor: MilesPerUKGallon100, inverse: true, digits: 1},
	},
	Speed: {
		{symbol: "km/h", names: []string{"kmh", "kph"}, factor: 1, digits: 0},
		{symbol: "mph", names: []string{"mi/h"}, factor: MetresPerMile / 1000, digits: 0},
		{symbol: "m/s", names: []string{"ms"}, factor: 3.6, digits: 1},
		{symbol: "kn", names: []string{"kt", "knots"}, factor: 1.852, digits: 0},
	},
	Duration: {
		{symbol: "h", names: []string{"hr", "hrs", "hour", "hours"}, factor: 3600, digits: 2},
		{symbol: "min", names: []string{"mins", "minute", "minutes"}, factor: 60, digits: 0},
		{symbol: "s", names: []string{"sec", "secs", "second", "seconds"}, factor: 1, digits: 0},
		{symbol: "d", names: []string{"day", "days"}, factor: 86400, digits: 1},
	},
	Angle: {
		{symbol: "°", names: []string{"deg", "degree", "degrees"}, factor: 1, digits: 0},
		{symbol: "rad", factor: 57.29577951308232, digits: 3},
	},
	Share: {
		{symbol: "%", names: []string{"percent", "pct"}, factor: 0.01, digits: 0},
	},
	Flow: {
		{symbol: "L/min", names: []string{"lpm"}, factor: 1, digits: 0},
		{symbol: "cfm", names: []string{"ft3/min"}, factor: 28.316846592, digits: 1},
	},
	Energy: {
		{symbol: "kcal", factor: 1, digits: 0},
		{symbol: "MJ", factor: 1 / 4.184e-3, digits: 1},
		{symbol: "kJ", factor: 1 / 4.184, digits: 0},
	},
}

// usual is the unit of each quantity by system.
var usual = [numQuantities][3]string{
	Number: {"", "", ""}, Distance: {"km", "mi", "mi"}, Length: {"m", "ft", "ft"}, Small: {"mm", "in", "in"}, Area: {"m²", "ft²", "ft²"},
	Mass: {"kg", "lb", "lb"}, Volume: {"L", "US gal", "imp gal"}, Pressure: {"kPa", "psi", "psi"}, Temperature: {"°C", "°F", "°C"},
	Difference: {"K", "°F", "K"}, Force: {"kN", "lbf", "lbf"}, Consumption: {"L/100 km", "mpg (US)", "mpg (UK)"}, Speed: {"km/h", "mph", "mph"},
	Duration: {"h", "h", "h"}, Angle: {"°", "°", "°"}, Share: {"%", "%", "%"}, Flow: {"L/min", "cfm", "cfm"}, Energy: {"kcal", "kcal", "kcal"},
}

// systemWord resolves words that mean different units in different systems: a gallon, miles per gallon.
// In the metric system they stay unknown: the user must say which.
func systemWord(q Quantity, word string, s System) string {
	imperial := s == Imperial
	switch {
	case q == Volume && (word == "gal" || word == "gallon" || word == "gallons") && imperial:
		return "imp gal"
	case q == Volume && (word == "gal" || word == "gallon" || word == "gallons") && s == US:
		return "US gal"
	case q == Consumption && word == "mpg" && imperial:
		return "mpg (UK)"
	case q == Consumption && word == "mpg" && s == US:
		return "mpg (US)"
	}
	return ""
}

func bySymbol(q Quantity, symbol string) (unit, bool) {
	for _, u := range tables[q] {
		if u.symbol == symbol {
			return u, true
		}
	}
	return unit{}, false
}

// lookup finds a unit by any of its spellings, upper or lower case alike.
func lookup(q Quantity, word string, s System) (unit, bool) {
	word = strings.ToLower(strings.Join(strings.Fields(word), " "))
	if u, ok := bySymbol(q, systemWord(q, word, s)); ok && word != "" {
		return u, true
	}
	tight := strings.ReplaceAll(word, " ", "")
	for _, u := range tables[q] {
		if t := strings.ToLower(u.symbol); t == word || strings.ReplaceAll(t, " ", "") == tight {
			return u, true
		}
		for _, n := range u.names {
			if n == word || n == tight {
				return u, true
			}
		}
	}
	return unit{}, false
}

// Units lists the symbols that Parse reads for q, the preferred ones first, for choices on screens.
func Units(q Quantity) []string {
	if q >= numQuantities {
		return nil
	}
	var out []string
	for _, u := range tables[q] {
		out = append(out, u.symbol)
	}
	return out
}
