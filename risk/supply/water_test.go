package supply_test

import (
	"math"
	"testing"

	"lastroad/risk/supply"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %.6g within %g", what, got, want, tol)
	}
}

func celsius(f float64) float64 { return (f - 32) * 5 / 9 }

// Cells of the US Army work/rest and water table (TB MED 507 as printed by the public health card);
// 0.71 L = 3/4 qt, 0.95 L = 1 qt, 0.47 L = 1/2 qt.
func TestHourlyAgainstTheArmyTable(t *testing.T) {
	tab := tables(t)
	for _, c := range []struct {
		name             string
		degF             float64
		work             supply.Work
		category         int
		workMin, restMin float64
		litres           float64
	}{
		{"86 F moderate", 86, supply.Moderate, 3, 40, 20, 0.71},
		{"90 F hard", 90, supply.Hard, 5, 10, 50, 0.95},
		{"84.9 F easy", 84.9, supply.Easy, 2, 60, 0, 0.47},
		{"85.0 F easy", 85, supply.Easy, 3, 60, 0, 0.71},
		{"81.95 F falls between the printed bands", 81.95, supply.Hard, 1, 40, 20, 0.71},
	} {
		got := tab.Hourly(celsius(c.degF), c.work, supply.Mixed, true)
		if got.Category != c.category || got.WorkMin != c.workMin || got.RestMin != c.restMin {
			t.Errorf("%s: category %d, %g/%g min, want %d, %g/%g", c.name, got.Category, got.WorkMin, got.RestMin, c.category, c.workMin, c.restMin)
		}
		near(t, c.name+" litres per hour", got.LitresPerHour.Central, c.litres, 1e-9)
	}
	l, capped := tab.DayOfHours(tab.Hourly(celsius(86), supply.Moderate, supply.Mixed, true).LitresPerHour.Central, 4)
	near(t, "4 h of moderate work at 86 F (3 qt)", l, 2.84, 0.005)
	if capped {
		t.Error("2.84 L in 4 h was capped")
	}
	l, capped = tab.DayOfHours(0.946353, 13)
	near(t, "13 h at 1 qt/h, capped at 12 qt", l, 11.36, 0.005)
	if !capped {
		t.Error("13 qt in a day were not capped")
	}
}

// FM 3-05.70 figure 13-2; the caption states 25 L for hard work at a mean of 50 degC.
func TestDailyAgainstFigure13_2(t *testing.T) {
	tab := tables(t)
	near(t, "rest at 30", tab.Daily(30, supply.RestShade), 5.6, 0.15)
	near(t, "moderate at 30", tab.Daily(30, supply.ModerateSun), 7.3, 0.15)
	near(t, "hard at 30", tab.Daily(30, supply.HardSun), 9.2, 0.15)
	near(t, "hard at 50", tab.Daily(50, supply.HardSun), 25, 0)
	// Paragraph 13-30 rounds 43 degC, hard, up to 19 L (5 gal); the figure gives 17.8.
	near(t, "hard at 43", tab.Daily(43, supply.HardSun), 17.8, 0.2)
}

func TestRuleAndBodyWater(t *testing.T) {
	tab := tables(t)
	l, ok := tab.RuleWater("desert_parks", 2, 5) // South Australia DEWNR: 6 L, 3 days in reserve
	if !ok {
		t.Fatal("the desert parks rule is missing")
	}
	near(t, "2 people, 5 + 3 days", l, 96, 0)
	kg, effect := supply.BodyWaterLoss(80, 5) // FM 3-05.70 ch. 4
	near(t, "5 % of 80 kg", kg, 4, 1e-12)
	if effect != "thirst, irritability, nausea, weakness" {
		t.Errorf("5 %% loss reads %q", effect)
	}
}

// Arrival lognormal with median 24 h and error factor 3, supplies for 72 h; hand computation
// Phi(ln(71/24) * 1.6449 / ln 3) = Phi(1.6239) = 0.9478, and Phi(0) = 0.5 with 24 h left.
func TestHelpInTime(t *testing.T) {
	for _, c := range []struct{ notice, want float64 }{{1, 0.947803}, {48, 0.5}, {72, 0}, {100, 0}} {
		h := supply.HelpTime{Notice: supply.Notice{Hours: supply.Exactly(c.notice)}, MedianH: 24, EF: 3}
		near(t, "chance of help in time", h.InTime(72), c.want, 2e-6)
	}
}

// Rows and columns of Adolph's table that were seen in print.
func TestSurvivalAgainstAdolph(t *testing.T) {
	tab := tables(t)
	for _, c := range []struct{ maxC, litres, want float64 }{
		{43, 0, 3}, {43, 0.95, 3}, {43, 1.9, 3.5}, {43, 3.8, 4}, {43, 18.9, 7}, {32, 0, 7}, {32, 3.8, 10.5},
		{37.5, 0, 5 + 2*0.5/6}, // half a degree of the six between 38 and 32
	} {
		near(t, "survival days", tab.SurvivalDays(c.maxC, c.litres), c.want, 1e-9)
	}
}

// Cells of the Canadian Forces table, Annex B.
func TestHourlyAgainstTheCanadianTable(t *testing.T) {
	tab := tables(t)
	for _, c := range []struct {
		wbgt float64
		work supply.Work
		want float64
	}{
		{20, supply.Easy, 0.5}, {25.4, supply.Hard, 0.75}, {26.5, supply.Hard, 1}, {29.4, supply.Easy, 0.5},
		{29.5, supply.Easy, 0.75}, {31.9, supply.Moderate, 0.75}, {32, supply.Easy, 1}, {21, supply.VeryHard, 1},
	} {
		l, ok := tab.HourlyCanadian(c.wbgt, c.work)
		if !ok {
			t.Errorf("WBGT %g is refused", c.wbgt)
		}
		near(t, "litres per hour", l, c.want, 0)
	}
	if _, ok := tab.HourlyCanadian(19.9, supply.Easy); ok {
		t.Error("WBGT 19.9 is below the table and was read")
	}
	for wbgt, want := range map[float64]supply.Work{29: supply.VeryHard, 29.5: supply.Hard, 31: supply.Moderate, 32: supply.Easy, math.NaN(): supply.Easy} {
		if got := tab.MostWork(wbgt); got != want {
			t.Errorf("new to the heat at WBGT %g: work %d, want %d", wbgt, got, want)
		}
	}
}

// Over one degree of the wet-bulb globe the two armies must not differ by more than their rounding to
// quarter quarts and quarter litres.
func TestTheTwoHourlyTablesAgree(t *testing.T) {
	tab := tables(t)
	for w := 26.0; w < 33; w += 0.25 {
		for _, work := range []supply.Work{supply.Easy, supply.Moderate, supply.Hard} {
			us := tab.Hourly(w, work, supply.Mixed, true).LitresPerHour.Central
			ca, _ := tab.HourlyCanadian(w, work)
			near(t, "US against Canadian litres per hour", us, ca, 0.30)
		}
	}
}
