package recovery

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// TyreKind is the standard a tyre is made to; it decides load law and pressures.
type TyreKind string

// The kinds of tyre.
const (
	TyrePassenger TyreKind = "passenger" // "P" sizes, TRA
	TyreLT        TyreKind = "lt"        // "LT" and flotation sizes, TRA light truck
	TyreMetric    TyreKind = "metric"    // no letter or "C", ETRTO
)

// Size is a tyre's size.
type Size struct {
	Text      string
	Kind      TyreKind
	DiameterM float64 // overall, from the notation; makers' inflated sizes differ by about 1 %
	WidthM    float64 // section
	RimM      float64
	Aspect    float64 // section height over width
}

var (
	metricSize    = regexp.MustCompile(`^(LT|P)?(\d{3})/(\d{2,3})Z?[RD-](\d{2}(?:\.5)?)(C|LT)?$`)
	flotationSize = regexp.MustCompile(`^(\d{2}(?:\.\d{1,2})?)X(\d{1,2}(?:\.\d{1,2})?)[RD-](\d{2}(?:\.5)?)(?:LT|C)?$`)
)

// ParseSize reads the size notations of light vehicles: metric "265/70R17", "LT265/75R16",
// "P265/70R17", "225/75R16C", and inches "33x12.50R15". Case and blanks do not matter; a load index and
// speed letter behind the size ("116S", "121/118Q") are passed over. Old numeric sizes such as "7.50R16" do not say the diameter and are
// refused: give diameter x width R rim in inches instead.
func ParseSize(text string) (Size, error) {
	bad := func(reason, remedy string) (Size, error) { return Size{}, refuse("tyre size "+text, reason, remedy) }
	s := strings.ToUpper(strings.Join(strings.Fields(text), " "))
	head, rest, _ := strings.Cut(s, " ")
	if head == "LT" || head == "P" {
		more, _, _ := strings.Cut(rest, " ")
		head += more
	}
	head = strings.ReplaceAll(head, "×", "X")
	z := Size{Text: text}
	num := func(s string) float64 { v, _ := strconv.ParseFloat(s, 64); return v }
	if m := metricSize.FindStringSubmatch(head); m != nil {
		z.WidthM, z.Aspect, z.RimM = num(m[2])/1000, num(m[3])/100, num(m[4])*0.0254
		z.DiameterM = z.RimM + 2*z.Aspect*z.WidthM
		switch {
		case m[1] == "LT" || m[5] == "LT":
			z.Kind = TyreLT
		case m[1] == "P":
			z.Kind = TyrePassenger
		default:
			z.Kind = TyreMetric
		}
	} else if m := flotationSize.FindStringSubmatch(head); m != nil {
		z.Kind = TyreLT
		z.DiameterM, z.WidthM, z.RimM = num(m[1])*0.0254, num(m[2])*0.0254, num(m[3])*0.0254
		z.Aspect = (z.DiameterM - z.RimM) / 2 / z.WidthM
	} else {
		return bad("is not a size notation", `write it like "LT265/75R16" or "33x12.50R15"`)
	}
	if z.WidthM < 0.1 || z.WidthM > 0.5 || z.RimM < 0.25 || z.RimM > 0.63 || z.DiameterM < z.RimM+0.05 || z.DiameterM > 1.4 || z.Aspect < 0.2 || z.Aspect > 1.2 {
		return bad("is not the size of a road wheel", `write it like "LT265/75R16" or "33x12.50R15"`)
	}
	return z, nil
}

// SectionM is the section height in metres.
func (z Size) SectionM() float64 { return (z.DiameterM - z.RimM) / 2 }

// VolumeL is the air in the tyre in litres: a torus of the section, 0.86 of its rectangle's ellipse
// (fitted to one published volume, so good to perhaps 5 %).
func (y *Tyres) VolumeL(z Size) float64 {
	h := z.SectionM()
	return 1000 * y.Rule["volume_share"].Central * math.Pi / 4 * z.WidthM * h * math.Pi * (z.DiameterM - h)
}

// ContactM2 is the area a tyre stands on: load in newtons over gauge pressure in kPa. The real area is
// 5 to 15 % smaller, since the carcass carries some.
func ContactM2(loadN, kPa float64) float64 { return loadN / (kPa * 1000) }

// String is the notation it was read from.
func (z Size) String() string {
	if z.Text != "" {
		return z.Text
	}
	return fmt.Sprintf("%.0f mm tyre", z.DiameterM*1000)
}
