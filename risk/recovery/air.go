package recovery

import (
	"fmt"
	"math"
)

// AtmosphereKPa is the pressure of the US Standard Atmosphere 1976 at a height in metres (troposphere,
// -450 to 8000 m): 101.325 (1 - 2.25577e-5 h)^5.25588. Outside that it is NaN.
func AtmosphereKPa(heightM float64) float64 {
	if rangeAltitude.check("", heightM) != nil {
		return math.NaN()
	}
	return 101.325 * math.Pow(1-2.25577e-5*heightM, 5.25588)
}

// AtTemperature is the gauge pressure of a sealed tyre of kPa at t1 degrees Celsius after going to t2,
// with the outside air at ambientKPa: the absolute pressure goes with the absolute temperature.
func AtTemperature(kPa, t1, t2, ambientKPa float64) float64 {
	return (kPa+ambientKPa)*(t2+273.15)/(t1+273.15) - ambientKPa
}

// AtHeight is the gauge pressure of a sealed tyre set at h1 metres after going to h2 at the same
// temperature: it reads higher by the drop of the outside air.
func AtHeight(kPa, h1, h2 float64) float64 {
	return kPa + AtmosphereKPa(h1) - AtmosphereKPa(h2)
}

// FreeAirL is the air, at outside pressure, that takes a tyre of volumeL from one gauge pressure to another.
func FreeAirL(volumeL, fromKPa, toKPa, ambientKPa float64) float64 {
	return volumeL * max(0, toKPa-fromKPa) / ambientKPa
}

// Compressor is an air compressor.
type Compressor struct {
	FreeLMin   float64 // rated free flow at zero pressure, litres a minute
	ActualLMin float64 // measured delivery at tyre pressure; 0 = a share of the rated flow
	DutyMin    float64 // minutes it may run before a rest; 0 = no limit stated
	RestMin    float64 // length of that rest
}

// Refill is the time to fill tyres.
type Refill struct {
	AirL, LMin            float64 // free air in all tyres, delivery
	RunMin, TotalMin      float64 // running, and with the rests
	LowRunMin, HighRunMin float64
	Rests                 int
}

// Refill works out the minutes to take n tyres of volumeL from one pressure to another at heightM. A
// compressor moves litres, not kilograms: in thin air a tyre asks for more litres of it, at the same flow.
func (y *Tyres) Refill(c Compressor, n int, volumeL, fromKPa, toKPa, heightM float64) (Refill, error) {
	var r Refill
	if n < 1 || n > 30 {
		return r, refuse("tyres", fmt.Sprintf("%d is outside 1 to 30", n), "")
	}
	if err := first(limit{5, 400, "L"}.check("tyre volume", volumeL), limit{0, 900, "kPa"}.check("pressure before", fromKPa), rangePressure.check("pressure after", toKPa),
		rangeAltitude.check("height", heightM), limit{0, 5000, "L/min"}.check("compressor flow", c.FreeLMin), limit{0, 5000, "L/min"}.check("compressor delivery", c.ActualLMin),
		limit{0, 1000, "min"}.check("compressor duty", c.DutyMin), limit{0, 1000, "min"}.check("compressor rest", c.RestMin)); err != nil {
		return r, err
	}
	share := y.Rule["delivery_share"]
	lo, hi := c.ActualLMin, c.ActualLMin
	if r.LMin = c.ActualLMin; r.LMin == 0 {
		r.LMin, lo, hi = c.FreeLMin*share.Central, c.FreeLMin*share.Low, c.FreeLMin*share.High
	}
	if r.LMin == 0 {
		return r, refuse("compressor", "neither its rated flow nor its delivery is given", "read the plate, or time how long one tyre takes")
	}
	r.AirL = float64(n) * FreeAirL(volumeL, fromKPa, toKPa, AtmosphereKPa(heightM))
	r.RunMin, r.LowRunMin, r.HighRunMin = r.AirL/r.LMin, r.AirL/hi, r.AirL/lo
	r.TotalMin = r.RunMin
	if c.DutyMin > 0 && r.RunMin > 0 {
		r.Rests = int(math.Ceil(r.RunMin/c.DutyMin-1e-9)) - 1
		r.TotalMin += float64(r.Rests) * c.RestMin
	}
	return r, nil
}
