package window

import (
	"fmt"
	"math"
	"sync"

	"fyne.io/fyne/v2/theme"
	"github.com/paulmach/orb"

	"lastroad/app/plot"
	"lastroad/app/units"
	"lastroad/geo"
	"lastroad/risk"
)

// pictureFonts are the theme's own letters for map and strip, so that pictures and forms are of one hand;
// the built-in Go fonts when they do not parse.
var pictureFonts = sync.OnceValue(func() *plot.Fonts {
	f, err := plot.NewFonts(theme.DefaultTextFont().Content(), theme.DefaultTextBoldFont().Content())
	if err != nil {
		return plot.DefaultFonts()
	}
	return f
})

// format writes and reads quantities by the user's settings.
func (s Settings) format() units.Formatter {
	sys, _ := units.ParseSystem(s.Units)
	return units.Formatter{System: sys, Comma: decimalComma(), Unknown: tr("unknown")}
}

func (p *Presenter) format() units.Formatter { return p.settings.format() }

// placeText is the place under the pointer as degrees and as a grid reference, for a call for help.
func placeText(at orb.Point) string {
	s := fmt.Sprintf("%.5f, %.5f", at.Lat(), at.Lon())
	if u, ok := geo.ToUTM(at); ok {
		s += "   " + u.MGRS(5)
	}
	return s
}

// lettersNote says in the foot of a picture why question marks stand in its names.
func lettersNote() string { return tr("? = letter the typeface cannot print") }

// stripWords are the strip's texts in the user's language.
func stripWords() plot.Words {
	var grounds [geo.NumGrounds]string
	for g := range grounds {
		grounds[g] = groundText(geo.Ground(g))
	}
	return plot.Words{
		Grounds:   grounds,
		Letters:   lettersNote(),
		Comma:     decimalComma(),
		Readiness: tr("Readiness"), Height: tr("Height"), Grade: tr("Grade"), Road: tr("To a maintained road"),
		Walk: tr("Walk out"), Ground: tr("Ground"), Light: tr("Light"), Supplies: tr("Fuel and water"), Fuel: tr("fuel"),
		Water: tr("water"), Unknown: tr("unknown"), NoDate: tr("set a start time to see the light"),
		NoHeights: tr("no heights known"), NotJudged: tr("not judged yet"), Minutes: tr("min"), Hours: tr("h"),
		Up: tr("up"), Down: tr("down"), NoReturn: tr("no return"), NoFuel: tr("fuel: on is nearer"), NoWater: tr("water: on is nearer"),
	}
}

// oddsText is a chance in words.
func oddsText(o risk.Odds) string {
	return oneIn(o.P)
}

// oneIn words a chance as the papers do.
func oneIn(p float64) string {
	how, n := risk.ChanceOf(p)
	switch how {
	case risk.ChanceTiny:
		return tr("under 1 in a million")
	case risk.ChanceOneIn:
		return tr("1 in {{.N}}", with("N", round2(n)))
	case risk.ChanceInTen:
		return tr("{{.N}} in 10", with("N", risk.FewFigures(n)))
	case risk.ChanceSure:
		return tr("nearly sure")
	}
	return tr("unknown")
}

// round2 writes a number to two figures with thin blanks between thousands.
func round2(n float64) string {
	if n < 10 {
		return trim(n)
	}
	e := math.Pow(10, math.Floor(math.Log10(n))-1)
	s := fmt.Sprintf("%.0f", math.Round(n/e)*e)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "\u202f" + s[i:]
	}
	return s
}

// oddsBand is the band of a chance, "" when none was drawn.
func oddsBand(o risk.Odds) string {
	if o.Low != o.Low || o.High != o.High || o.P != o.P {
		return ""
	}
	return tr("between {{.A}} and {{.B}}", map[string]any{"A": oneIn(o.Low), "B": oneIn(o.High)})
}

// verdictText is the word of a score in the user's language.
func verdictText(s risk.Score) string {
	switch s.Word {
	case "ready":
		return tr("ready")
	case "thin":
		return tr("thin")
	case "":
		return tr("not judged")
	}
	return tr("not ready")
}

// groundText is a ground class in the user's language.
func groundText(g geo.Ground) string { return tr(g.String()) }

// groundsOf is what a leg runs over, the longest first, with shares.
func groundsOf(s *geo.Survey, leg int) string {
	var n [geo.NumGrounds]float64
	total := 0.0
	l := s.Legs[leg]
	for i := l.From; i < l.To; i++ {
		d := s.Samples[i+1].DistanceM - s.Samples[i].DistanceM
		g := geo.Unknown
		if k := int(s.Samples[i].Ground); k < len(s.Grounds) {
			g = s.Grounds[k].Main()
		}
		n[g] += d
		total += d
	}
	out := ""
	for range 3 {
		best := geo.Unknown
		for g := range geo.NumGrounds {
			if n[g] > n[best] {
				best = g
			}
		}
		share := n[best] / math.Max(1, total)
		if share < 0.05 {
			break
		}
		if out != "" {
			out += ", "
		}
		out += groundText(best)
		if share < 0.95 {
			out += fmt.Sprintf(" %.0f %%", 100*share)
		}
		n[best] = 0
	}
	return out
}

// legName is the name of a leg, its number when it has none but its number.
func legName(s *geo.Survey, leg int) string {
	if n := s.Legs[leg].Name; n != "" && n != fmt.Sprintf("Leg %d", leg+1) {
		return n
	}
	return tr("Leg {{.N}}", with("N", leg+1))
}
