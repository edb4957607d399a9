package plot

import (
	"image/color"
	"math"
)

// plasma is the colour ramp of that name at 17 of its 256 steps, by Nathaniel Smith and Stéfan van der
// Walt (2015; matplotlib, lib/matplotlib/_cm_listed.py, released as CC0). Its lightness rises evenly
// (CAM02-UCS), so that it reads in order with any colour vision and in grey. Straight lines between these
// steps stay within 5 of 255 of the published table.
var plasma = [17][3]uint8{
	{13, 8, 135}, {49, 5, 151}, {76, 2, 161}, {102, 0, 167}, {126, 3, 168}, {149, 17, 161}, {170, 35, 149},
	{188, 53, 135}, {204, 71, 120}, {217, 88, 106}, {229, 107, 93}, {240, 127, 79}, {248, 148, 65},
	{253, 171, 51}, {253, 195, 40}, {249, 221, 37}, {240, 249, 33},
}

// ReadinessColor is the colour of a readiness of 0 to 100: amber where much of the trouble is uncovered,
// through rose to deep violet where next to nothing is. Equal steps of colour are equal factors of the
// points lost, from mostLost down to leastLost: 98 and 94 differ as much as 94 and 82, since a party that
// loses three times the points is three times as often in need. Values outside are taken as the nearest
// end, an unknown one (NaN) is grey. Colour never stands alone: width and texture of the route, or a
// number, go with it. In the dark palette the violet end is lifted so that it stands off the ground.
func (p *Palette) ReadinessColor(readiness float64) color.NRGBA {
	if readiness != readiness {
		return p.Unknown
	}
	lost := max(leastLost, min(mostLost, 100-readiness))
	share := 1 - math.Log(lost/leastLost)/math.Log(mostLost/leastLost)
	// 0.03 and 0.86 of the ramp: the ends are too near to black, and to the yellow of sand.
	lo, hi := 0.86, 0.03
	if p.Dark {
		lo, hi = 0.92, 0.25
	}
	return ramp(plasma[:], lo+(hi-lo)*share)
}

// The ends of the colour scale in points lost: below the least nobody could tell the difference on a trip,
// above the most the word says it all. Judgement.
const leastLost, mostLost = 1.0, 60.0

func ramp(steps [][3]uint8, t float64) color.NRGBA {
	f := t * float64(len(steps)-1)
	i := max(0, min(len(steps)-2, int(f)))
	u := f - float64(i)
	mix := func(k int) uint8 { return uint8(float64(steps[i][k])*(1-u) + float64(steps[i+1][k])*u + 0.5) }
	return color.NRGBA{mix(0), mix(1), mix(2), 255}
}
