package papers

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"lastroad/app/plot"
	"lastroad/app/report"
	"lastroad/app/units"
	"lastroad/risk"
	"lastroad/risk/recovery"
)

// nbsp holds a number to its unit, so that no line breaks between them.
const nbsp = "\u00a0"

// number is v, in base units, in the reader's unit without its symbol; "?" where it is not known. n are the
// decimals of the metric figure; other units get as many as say about as much.
func (w Words) number(q units.Quantity, v float64, n int) string {
	return w.rounded(q, v, n, math.Round)
}

// least is number for a figure to keep at least, most for one not to go over: rounding never takes away from
// safety.
func (w Words) least(q units.Quantity, v float64, n int) string {
	return w.rounded(q, v, n, math.Ceil) + nbsp + w.unit(q)
}

func (w Words) most(q units.Quantity, v float64, n int) string { return w.rounded(q, v, n, math.Floor) }

func (w Words) rounded(q units.Quantity, v float64, n int, round func(float64) float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "?"
	}
	x, _ := w.units.Value(q, v)
	step := math.Pow(10, -float64(n))
	if w.units.System != units.Metric {
		switch q {
		case units.Force: // pounds-force: 10 lbf are 0.04 kN
			step = 10
			if n == 0 && x >= 1000 {
				step = 50
			}
		case units.Volume: // a gallon is several litres
			step = math.Pow(10, -float64(min(n+1, 1)))
		case units.Length: // a foot is a third of a metre
			step = math.Pow(10, -float64(max(0, n-1)))
		case units.Pressure, units.Temperature, units.Speed:
			step = 1
		}
	}
	const slack = 1e-9 // 25 km/h read back from a product stays 25
	k := x / step
	if r := math.Round(k); math.Abs(k-r) < slack*math.Max(1, math.Abs(k)) {
		k = r
	} else {
		k = round(k)
	}
	return w.mark(strconv.FormatFloat(k*step+0, 'f', max(0, int(math.Round(-math.Log10(step)))), 64))
}

// unit is the symbol of the unit that the reader wants.
func (w Words) unit(q units.Quantity) string { return strings.ReplaceAll(w.units.Symbol(q), " ", nbsp) }

// measure is number with its unit.
func (w Words) measure(q units.Quantity, v float64, n int) string {
	return w.number(q, v, n) + nbsp + w.unit(q)
}

func (w Words) kg(v float64) string            { return w.measure(units.Mass, v, 0) }
func (w Words) litres(v float64) string        { return w.measure(units.Volume, v, 0) }
func (w Words) kN(v float64, n int) string     { return w.measure(units.Force, v, n) }
func (w Words) metres(v float64, n int) string { return w.measure(units.Length, v, n) }
func (w Words) road(m float64, n int) string   { return w.measure(units.Distance, m, n) }
func (w Words) celsius(v float64) string       { return w.measure(units.Temperature, v, 0) }

// at names a place by its distance along the route: "km 118", "mi 73".
func (w Words) at(m float64, n int) string {
	return w.unit(units.Distance) + nbsp + w.number(units.Distance, m, n)
}

// stretch names a part of the route: "km 55–108".
func (w Words) stretch(from, to float64, n int) string {
	return w.at(from, n) + "–" + w.number(units.Distance, to, n)
}

// pressure is a pressure with another unit beside it, for gauges of either kind.
func (w Words) pressure(kpa float64) string {
	other := units.Formatter{System: units.US}
	if w.units.System != units.Metric {
		other.System = units.Metric
	}
	v, sym := other.Value(units.Pressure, kpa)
	return w.measure(units.Pressure, kpa, 0) + " (" + w.dec(v, 0) + nbsp + sym + ")"
}

// dec is a plain number with n decimals and the reader's decimal mark, "?" where it is not known.
func (w Words) dec(v float64, n int) string { return w.mark(dec(v, n)) }

// mark puts the reader's decimal mark into a number written with a point.
func (w Words) mark(number string) string {
	if w.units.Comma {
		return strings.Replace(number, ".", ",", 1)
	}
	return number
}

// band writes a central value with its band.
func (w Words) band(q units.Quantity, b risk.Band, n int) string {
	if b.Low == b.High || b.Low != b.Low {
		return w.measure(q, b.Central, n)
	}
	return w.T("band", w.measure(q, b.Central, n), w.number(q, b.Low, n), w.number(q, b.High, n))
}

// hours writes minutes as people say them.
func (w Words) hours(minutes float64, estimate bool) string {
	return strings.ReplaceAll(report.Hours(minutes, estimate), " ", nbsp)
}

// plot are the units of pictures.
func (w Words) plot() plot.Units {
	if w.units.System == units.Metric {
		return plot.Metric
	}
	return plot.Imperial
}

// say puts what the judging says into the reader's language, and beside its metric figures those in the
// reader's units. The metric figures stay: ratings are stamped in them, and nothing is lost where a sentence is
// not understood.
func (w Words) say(t string) string {
	if w.book != nil {
		t = w.book.Say(t)
	}
	if w.units.System == units.Metric {
		return t
	}
	t = measured.ReplaceAllStringFunc(t, func(m string) string {
		p := measured.FindStringSubmatch(m)
		q := sayUnits[p[4]]
		out := w.near(q, p[1])
		if p[3] != "" {
			out += p[2] + w.near(q, p[3])
		}
		out += nbsp + w.unit(q)
		if p[6] != "" {
			out += " (" + w.near(q, p[6]) + p[7] + w.near(q, p[8]) + ")"
		}
		return m + " [" + out + "]"
	})
	return placed1.ReplaceAllStringFunc(t, func(m string) string {
		p := placed1.FindStringSubmatch(m)
		out := w.unit(units.Distance) + nbsp + w.near(units.Distance, p[1])
		if p[3] != "" {
			out += p[2] + w.near(units.Distance, p[3])
		}
		return m + " [" + out + "]"
	})
}

var (
	sayUnits = map[string]units.Quantity{"km/h": units.Speed, "kPa": units.Pressure, "kN": units.Force, "km": units.Distance, "kg": units.Mass, "°C": units.Temperature, "L": units.Volume, "m": units.Length}
	// A figure or two with one unit, and the band that may stand in brackets behind it.
	measured = regexp.MustCompile(`(-?\d+(?:[.,]\d+)?)(?:( ?[-–] ?| to | bis | a | à )(\d+(?:[.,]\d+)?))?[ \x{a0}](km/h|kPa|kN|km|kg|°C|L|m)\b( \((\d+(?:[.,]\d+)?)( ?[-–] ?| to | bis | a | à )(\d+(?:[.,]\d+)?)\))?`)
	// A place along the route, or a stretch of it.
	placed1 = regexp.MustCompile(`\bkm[ \x{a0}](\d+(?:[.,]\d+)?)(?:( ?[-–] ?| to )(\d+(?:[.,]\d+)?))?`)
)

// near is a metric figure of a text in the reader's unit, to three digits.
func (w Words) near(q units.Quantity, metric string) string {
	v, err := strconv.ParseFloat(strings.Replace(metric, ",", ".", 1), 64)
	if err != nil {
		return "?"
	}
	if q == units.Distance {
		v *= 1000
	}
	x, _ := w.units.Value(q, v)
	n := 2 - int(math.Floor(math.Log10(math.Max(math.Abs(x), 1e-2))))
	if q == units.Temperature || q == units.Pressure {
		n = min(n, 0)
	}
	n = min(n, 1)
	k := math.Pow(10, float64(n))
	x = math.Round(x*k) / k
	return w.mark(fmt.Sprintf("%.*f", max(0, n), x))
}

// sayAll says each of a list.
func (w Words) sayAll(list []string) []string {
	out := make([]string, len(list))
	for i, t := range list {
		out[i] = w.say(t)
	}
	return out
}

// inPlace says a label of a drawing, its forces in the reader's unit alone: there is no room for two.
func (w Words) inPlace(label string) string {
	label = rated.ReplaceAllStringFunc(label, func(m string) string {
		v, err := strconv.ParseFloat(rated.FindStringSubmatch(m)[1], 64)
		if err != nil {
			return m
		}
		return w.kN(v, 1)
	})
	if w.book != nil {
		label = w.book.Say(label)
	}
	return label
}

var rated = regexp.MustCompile(`(\d+(?:\.\d+)?) kN`)

// drawRig draws a rig with the reader's words and units, and what to keep clear below it.
func (w Words) drawRig(c plot.Canvas, d recovery.Diagram) {
	clear := d.ClearM
	d.ClearM = 0 // it is written here
	d.Nodes = append([]recovery.DiagramNode(nil), d.Nodes...)
	for i := range d.Nodes {
		n := &d.Nodes[i]
		n.Label = w.inPlace(n.Label)
		if n.Kind == "anchor" && n.ForceKN > 0 {
			n.Label += ", " + w.kN(n.ForceKN, 1)
			n.ForceKN = 0
		}
	}
	d.Legs = append([]recovery.DiagramLeg(nil), d.Legs...)
	for i := range d.Legs {
		d.Legs[i].Label = w.inPlace(d.Legs[i].Label)
	}
	plot.DrawRig(c, d, plot.Light(), 1)
	if clear > 0 {
		pen := newDiagram(c)
		pen.text(pen.w/2, pen.h-8, w.T("d_rig_clear", w.least(units.Length, clear, 0)), false)
	}
}
