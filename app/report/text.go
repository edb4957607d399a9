package report

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"lastroad/geo"
	"lastroad/geo/facts"
	"lastroad/risk"
)

// Text writes the judged trip for reading in a terminal, 100 columns wide. Unknown numbers show as "?".
func Text(w io.Writer, name string, s *geo.Survey, j *risk.Judgement) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s: %s km in %s, %s\n\n", name, number(s.LengthM()/1000, 1), legs(len(j.Legs)), j.Variant)
	headline(b, j.Trip)
	if len(j.Findings) > 0 {
		b.WriteString("\n")
		list(b, j.Findings, "")
	}
	b.WriteString("\nWhere the points go (whole trip)\n")
	losses(b, j.Trip.Lost, 8, "  ")

	b.WriteString("\nLegs\n")
	fmt.Fprintf(b, "  %2s  %-13s %-22s %6s %6s %8s %8s %8s %6s  %s\n", "", "km", "ground", "climb", "fall", "road km", "walk out", "pull kN", "water", "readiness")
	for i, lj := range j.Legs {
		f := facts.Of(s, lj.Leg)
		pull := "-"
		if p := lj.Needs.Pull; p != nil {
			pull = number(p.RequiredKN.Central, 1)
			if p.Rig == "" {
				pull += "!"
			}
		}
		fmt.Fprintf(b, "  %2d  %-13s %-22s %6s %6s %8s %8s %8s %6s  %3s %s\n", i+1,
			fmt.Sprintf("%s-%s", number(f.FromM/1000, 1), number(f.ToM/1000, 1)), clip(ground(f), 22),
			percent(f.UpGrade), percent(f.DownGrade), number(f.RoadM/1000, 1), Hours(f.WalkMin, f.WalkEst), pull,
			litres(lj.Needs.WaterL.Central), number(lj.Score.Readiness, 0), lj.Score.Word)
	}
	for i, lj := range j.Legs {
		legText(b, i, s, &j.Supplies, lj)
	}
	l := j.Load
	fmt.Fprintf(b, "\nLoad: %s kg of %s kg allowed, %s kg left; axles front %s of %s kg, rear %s of %s kg; roof %s of %s kg; inside %s L; side tip angle %s degrees (rigid, standing)\n",
		number(l.TotalKg, 0), number(l.GVMKg, 0), number(l.PayloadLeftKg, 0), number(l.FrontKg, 0), number(l.FrontLimitKg, 0),
		number(l.RearKg, 0), number(l.RearLimitKg, 0), number(l.RoofKg, 0), number(l.RoofLimitKg, 0), number(l.VolumeL, 0), number(l.TipAngleDeg, 0))
	if p := j.Partner; p != nil {
		band := ""
		if !math.IsNaN(p.PartyDelayed.Low) {
			band = fmt.Sprintf(" (%s to %s)", risk.OneIn(p.PartyDelayed.High), risk.OneIn(p.PartyDelayed.Low))
		}
		fmt.Fprintf(b, "Together: either vehicle stopped %s%s; seats if one vehicle is left: %d needed, %d there\n", risk.OneIn(p.PartyDelayed.P), band, p.SeatsNeeded, p.SeatsHave)
		if len(p.MustCarry) > 0 {
			fmt.Fprintf(b, "  the second vehicle should carry: %s\n", strings.Join(p.MustCarry, ", "))
		}
	}
	supplies(b, j)
	notes := append(append([]string{}, s.Notes...), j.Notes...)
	if len(notes) > 0 {
		b.WriteString("\nNotes\n")
		for _, n := range notes {
			wrap(b, "  - ", "    ", n)
		}
	}
	if len(s.Sources) > 0 {
		fmt.Fprintf(b, "\nSources: %s\n", strings.Join(s.Sources, "; "))
	}
	b.WriteString("\n")
	wrap(b, "", "", Caution)
	return b.Flush()
}

func headline(b *bufio.Writer, sc risk.Score) {
	band := ""
	if !math.IsNaN(sc.Band[0]) {
		band = fmt.Sprintf(" (5 to 95 %%: %s to %s)", number(sc.Band[0], 0), number(sc.Band[2], 0))
	}
	fmt.Fprintf(b, "%s: readiness %s of 100%s\n", strings.ToUpper(sc.Word), number(sc.Readiness, 0), band)
	if sc.Why != "" {
		wrap(b, "  ", "  ", sc.Why)
	}
	for _, o := range []struct {
		what string
		o    risk.Odds
	}{{"stopped by a trouble", sc.Stopped}, {"not out by own means", sc.NotUnaided}, {"no help in time", sc.NoHelp}} {
		fmt.Fprintf(b, "  %-22s %-12s", o.what, risk.OneIn(o.o.P))
		if !math.IsNaN(o.o.Low) {
			fmt.Fprintf(b, " (%s to %s)", risk.OneIn(o.o.High), risk.OneIn(o.o.Low))
		}
		b.WriteString("\n")
	}
}

func list(b *bufio.Writer, fs []risk.Finding, indent string) {
	mark := [...]string{"note: ", "warning: ", "STOP: "}
	for _, f := range fs {
		wrap(b, indent+mark[f.Severity], indent+"  ", f.Text)
	}
}

func losses(b *bufio.Writer, ls []risk.Loss, most int, indent string) {
	rest, n := 0.0, 0
	for i, l := range ls {
		if i >= most || l.Points < 0.05 {
			rest += l.Points
			n++
			continue
		}
		wrap(b, indent, indent+"     ", l.Text)
	}
	if n > 0 && rest >= 0.05 {
		fmt.Fprintf(b, "%s%s: %d smaller ones together\n", indent, number(rest, 1), n)
	}
}

func legText(b *bufio.Writer, i int, s *geo.Survey, sup *risk.Supplies, lj risk.LegJudgement) {
	f, n := facts.Of(s, lj.Leg), lj.Needs
	leg := s.Legs[lj.Leg]
	name := fmt.Sprintf("Leg %d", i+1)
	if leg.Name != "" && leg.Name != name {
		name += "  " + leg.Name
	}
	fmt.Fprintf(b, "\n%s  km %s to %s (%s km)  %s: %s of 100\n", name, number(f.FromM/1000, 1), number(f.ToM/1000, 1),
		number(f.LengthM/1000, 1), lj.Score.Word, number(lj.Score.Readiness, 0))
	list(b, lj.Findings, "  ")
	wrap(b, "  ground: ", "    ", fmt.Sprintf("%s; climb %s m, fall %s m; steepest %s up, %s down (band +-%s); side slope %s; fords %d%s, gates %d",
		groundAll(f), number(f.AscentM, 0), number(f.DescentM, 0), percent(f.UpGrade), percent(f.DownGrade), percent(f.GradeBand), percent(f.SideSlope), f.Fords, legCrossings(f), f.Gates))
	wrap(b, "  out: ", "    ", fmt.Sprintf("maintained road %s km away at worst, %s km and %s by track; on foot %s; help there after %s to %s h (middle %s h)",
		number(f.RoadM/1000, 1), number(f.DriveM/1000, 1), Hours(f.DriveMin, false), Hours(f.WalkMin, f.WalkEst),
		number(n.StrandedH.Low, 0), number(n.StrandedH.High, 0), number(n.StrandedH.Central, 0)))
	wrap(b, "  help: ", "    ", legHelp(f))
	wrap(b, "  time: ", "    ", legTime(sup, &n))
	wrap(b, "  water: ", "    ", legWater(&n))
	onWay := ""
	if len(n.FuelPlacesM) > 0 {
		onWay = "; fuel on the way at km " + kms(n.FuelPlacesM)
	}
	wrap(b, "  fuel: ", "    ", fmt.Sprintf("leg %s L (%s to %s); to the next fuel with reserve %s L (%s to %s); in the tank and cans %s L (%s to %s)%s", litres(n.FuelL.Central), litres(n.FuelL.Low), litres(n.FuelL.High),
		litres(n.FuelReachL.Central), litres(n.FuelReachL.Low), litres(n.FuelReachL.High), litres(n.FuelHaveL.Central), litres(n.FuelHaveL.Low), litres(n.FuelHaveL.High), onWay))
	wrap(b, "  load: ", "    ", legLoad(&n.Supply.Load))
	wrap(b, "  food: ", "    ", fmt.Sprintf("%s person-days for the wait (%s to %s), beside those of the planned days", number(n.Supply.WaitFood.Central, 1), number(n.Supply.WaitFood.Low, 1), number(n.Supply.WaitFood.High, 1)))
	if n.Supply.WalkOut != nil {
		wrap(b, "  on foot: ", "    ", legWalk(n.Supply.WalkOut))
	}
	if n.PressureKPa[0] > 0 {
		speed := ""
		if !math.IsNaN(n.SpeedCapKmh) {
			speed = fmt.Sprintf(", not over %s km/h while low", number(n.SpeedCapKmh, 0))
		}
		wrap(b, "  tyres: ", "    ", fmt.Sprintf("front %s, rear %s kPa (road %s, %s)%s; pumping up again %s min%s%s", number(n.PressureKPa[0], 0), number(n.PressureKPa[1], 0),
			number(n.RoadKPa[0], 0), number(n.RoadKPa[1], 0), speed, number(n.CompressorMin, 0), legAir(n.Supply.AirStop), legAir(n.Supply.LastAir)))
	}
	if p := n.Pull; p != nil {
		how := fmt.Sprintf("%s; weakest: %s, margin %s", p.RigTitle, p.WeakLink, number(p.Margin, 2))
		if p.Rig == "" {
			how = "nothing carried holds it: " + p.Fails
			if p.Cure != "" {
				how += "; " + p.Cure
			}
		}
		state := p.State
		if p.GroundNote != "" {
			state += " (" + p.GroundNote + ")"
		}
		wrap(b, "  pull: ", "    ", fmt.Sprintf("%s asks for %s kN (%s to %s): %s", state, number(p.RequiredKN.Central, 1), number(p.RequiredKN.Low, 1), number(p.RequiredKN.High, 1), how))
	}
	var miss, have []string
	for _, p := range n.Parts {
		t := fmt.Sprintf("%s (%s)", p.Title, chance(p.Chance))
		if p.Missing {
			miss = append(miss, t)
		} else if p.Chance > 0.001 {
			have = append(have, t)
		}
	}
	if len(miss) > 0 {
		wrap(b, "  missing: ", "    ", strings.Join(first(miss, 8), ", "))
	}
	if len(have) > 0 {
		wrap(b, "  asked for: ", "    ", strings.Join(first(have, 8), ", "))
	}
	if len(lj.Score.Lost) > 0 {
		b.WriteString("  points lost\n")
		losses(b, lj.Score.Lost, 4, "    ")
	}
}

func first(s []string, n int) []string {
	if len(s) > n {
		return append(append([]string{}, s[:n]...), fmt.Sprintf("and %d more", len(s)-n))
	}
	return s
}

func ground(f facts.Facts) string {
	if len(f.Ground) == 0 {
		return "?"
	}
	t := f.Ground[0].Ground.String()
	if len(f.Ground) > 1 && f.Ground[1].Share > 0.2 {
		t += ", " + f.Ground[1].Ground.String()
	}
	return t
}

func groundAll(f facts.Facts) string {
	var t []string
	for _, g := range f.Ground {
		if g.Share >= 0.005 {
			t = append(t, fmt.Sprintf("%s %.0f %%", g.Ground, 100*g.Share))
		}
	}
	return strings.Join(t, ", ")
}

func number(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "?"
	}
	t := fmt.Sprintf("%.*f", decimals, v)
	if strings.Trim(t, "-0.") == "" {
		t = strings.TrimPrefix(t, "-")
	}
	return t
}

func litres(v float64) string {
	if v < 10 {
		return number(v, 1)
	}
	return number(v, 0)
}

func percent(v float64) string {
	if math.IsNaN(v) {
		return "?"
	}
	return fmt.Sprintf("%.0f %%", 100*v)
}

func chance(p float64) string {
	if p >= 0.1 {
		return fmt.Sprintf("%.0f %%", 100*p)
	}
	return risk.OneIn(p)
}

// Hours writes minutes as "3 h 20", an estimate with a leading "~".
func Hours(min float64, estimate bool) string {
	if math.IsNaN(min) {
		return "?"
	}
	t := fmt.Sprintf("%.0f min", min)
	if min >= 90 {
		m := int(math.Round(min))
		t = fmt.Sprintf("%d h %02d", m/60, m%60)
	}
	if estimate {
		t = "~" + t
	}
	return t
}

func clip(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}

// wrap writes text in lines of at most 100 columns behind a lead, later lines behind indent.
func wrap(b *bufio.Writer, lead, indent, text string) {
	col := 0
	b.WriteString(lead)
	col = len([]rune(lead))
	start := true
	for _, word := range strings.Fields(text) {
		n := len([]rune(word))
		if !start && col+1+n > 100 {
			b.WriteString("\n" + indent)
			col, start = len([]rune(indent)), true
		}
		if !start {
			b.WriteByte(' ')
			col++
		}
		b.WriteString(word)
		col += n
		start = false
	}
	b.WriteByte('\n')
}

// legs is a number of legs in words.
func legs(n int) string {
	if n == 1 {
		return "1 leg"
	}
	return fmt.Sprintf("%d legs", n)
}
