package supply

import "math"

// Container holds some of the drinking water.
type Container struct {
	Name    string
	HoldsL  float64
	FilledL float64 // 0 or NaN = full
}

// ContainerCheck is what is left when the fullest container leaks.
type ContainerCheck struct {
	TotalL, LargestL, LeftL float64
	NeedL                   float64 // what must be left
	OK                      bool
	Text                    string
}

// Containers checks that one leaking container does not end the trip: after the loss of the fullest one
// there must still be keepL, the water for crossing the leg and the usual wait for help
// (WaterNeed.Carry.Central). Litres without a container (totalL above the sum of the list) count as one
// more container, since nothing says how they are divided.
func Containers(list []Container, totalL, keepL float64) ContainerCheck {
	var c ContainerCheck
	for _, k := range list {
		l := math.Max(0, orElse(k.HoldsL, 0))
		if k.FilledL > 0 && k.FilledL < l {
			l = k.FilledL
		}
		c.TotalL += l
		c.LargestL = math.Max(c.LargestL, l)
	}
	if rest := orElse(totalL, 0) - c.TotalL; rest > 0 {
		c.TotalL += rest
		c.LargestL = math.Max(c.LargestL, rest)
	}
	c.LeftL = c.TotalL - c.LargestL
	c.NeedL = math.Max(0, orElse(keepL, 0))
	c.OK = c.LeftL >= c.NeedL
	switch {
	case c.TotalL == 0:
		c.Text = "No water is carried."
	case c.OK:
		c.Text = "One leaking container leaves enough."
	case c.LeftL == 0:
		c.Text = "All water is in one container: a single leak ends the trip. Divide it over two or more."
	default:
		c.Text = "If the fullest container leaks too little is left: divide the water over more containers or carry more."
	}
	return c
}
