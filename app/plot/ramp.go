package plot

import "image/color"

// plasma is the colour ramp of that name at 17 of its 256 steps, by Nathaniel Smith and Stéfan van der
// Walt (2015; matplotlib, lib/matplotlib/_cm_listed.py, released as CC0). Its lightness rises evenly
// (CAM02-UCS), so that it reads in order with any colour vision and in grey. Straight lines between these
// steps stay within 5 of 255 of the published table.
var plasma = [17][3]uint8{
	{13, 8, 135}, {49, 5, 151}, {76, 2, 161}, {102, 0, 167}, {126, 3, 168}, {149, 17, 161}, {170, 35, 149},
	{188, 53, 135}, {204, 71, 120}, {217, 88, 106}, {229, 107, 93}, {240, 127, 79}, {248, 148, 65},
	{253, 171, 51}, {253, 195, 40}, {249, 221, 37}, {240, 249, 33},
}

// ReadinessColor is the colour of a readiness of 0 to 100: amber where little of the trouble is covered,
// through rose to deep violet where nearly all is. Values outside are taken as the nearest end, an
// unknown one (NaN) is grey. It never stands alone: width and texture of the route, or a number, go
// with it. In the dark palette the violet end is lifted so that it stands off the ground.
func (p *Palette) ReadinessColor(readiness float64) color.NRGBA {
	if readiness != readiness {
		return p.Unknown
	}
	share := max(0, min(1, readiness/100))
	// 0.03 and 0.86 of the ramp: the ends are too near to black, and to the yellow of sand.
	lo, hi := 0.86, 0.03
	if p.Dark {
		lo, hi = 0.92, 0.25
	}
	return ramp(plasma[:], lo+(hi-lo)*share)
}

func ramp(steps [][3]uint8, t float64) color.NRGBA {
	f := t * float64(len(steps)-1)
	i := max(0, min(len(steps)-2, int(f)))
	u := f - float64(i)
	mix := func(k int) uint8 { return uint8(float64(steps[i][k])*(1-u) + float64(steps[i+1][k])*u + 0.5) }
	return color.NRGBA{mix(0), mix(1), mix(2), 255}
}
