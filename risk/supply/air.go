package supply

import "math"

// AirDensity is the density of the standard atmosphere in kg/m3 at a height in metres: 1.225 at sea
// level (US Standard Atmosphere 1976). NaN reads as sea level.
func AirDensity(heightM float64) float64 {
	if math.IsNaN(heightM) {
		heightM = 0
	}
	return 1.225 * math.Pow(1-2.25577e-5*within(heightM, -500, 11000), 4.25588)
}

// PowerShare is what is left of an engine's sea-level power at a height in metres: a naturally
// aspirated one loses 3 % for each 305 m above 152 m (500 ft) of ground; a turbocharged one nothing
// until its critical height, which its maker knows. Never below 0.
func (t *Tables) PowerShare(heightM float64, turbo bool) float64 {
	if turbo || !(heightM > 152.4) {
		return 1
	}
	return math.Max(0, 1-t.FuelTable.PowerPer305m.Central*(heightM-152.4)/304.8)
}
