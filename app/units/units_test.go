package units

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lastroad/geo"
	"lastroad/geo/garble"
)

func TestKnownConversions(t *testing.T) {
	us, uk, si := Formatter{System: US}, Formatter{System: Imperial}, Formatter{}
	for _, c := range []struct {
		name string
		f    Formatter
		q    Quantity
		text string
		want float64
		tol  float64
	}{
		// 235.215/mpg (US); 110 L on 530 km are 20.8 L/100 km; 282.481/mpg (UK).
		{"17 mpg", us, Consumption, "17 mpg", 13.8, 0.05},
		{"30 mpg UK", uk, Consumption, "30 mpg", 282.481 / 30, 1e-3},
		{"10 km/L", si, Consumption, "10 km/l", 10, 1e-12},
		{"8.9 L per 100 km", us, Consumption, "8.9 L/100 km", 8.9, 1e-12},
		// 1 psi = 6.894757 kPa, 1 lbf = 4.448222 N, 1 US gal = 3.785412 L, 1 US qt = 0.946353 L
		{"36 psi", si, Pressure, "36 psi", 248.211, 1e-3},
		{"2.4 bar", si, Pressure, "2.4bar", 240, 1e-9},
		{"9500 lbf", si, Force, "9500 lbf", 42.25811, 1e-5},
		{"3 gal", us, Volume, "3 gal", 11.356236, 1e-6},
		{"12 qt", si, Volume, "12 qt", 11.356236, 1e-6},
		{"imperial gallon", uk, Volume, "1 gal", 4.54609, 1e-12},
		{"109 F", us, Temperature, "109", 42.7778, 1e-4},
		{"-40", us, Temperature, "-40 °F", -40, 1e-9},
		{"20 miles", si, Distance, "20 mi", 32186.88, 1e-6},
		{"5 ft 6 in", si, Length, "5 ft 6 in", 1.6764, 1e-9},
		{"5'6\"", si, Length, "5'6\"", 1.6764, 1e-9},
		{"1 h 30", si, Duration, "1 h 30 min", 5400, 0},
		{"1:30", si, Duration, "1:30", 5400, 0},
		{"1h30", si, Duration, "1h30", 5400, 0},
		{"2 d 4 h", si, Duration, "2 d 4 h", 187200, 0},
		{"150 lb", si, Mass, "150 lb", 68.0388555, 1e-9},
		{"decimal comma", Formatter{Comma: true}, Volume, "1,5 L", 1.5, 0},
		{"decimal comma with a point", Formatter{Comma: true}, Volume, "1.5", 1.5, 0},
		{"comma in a point locale", si, Volume, "1,5", 1.5, 0},
		{"grouped by blanks", si, Mass, "2 950 kg", 2950, 0},
		{"grouped by apostrophes", si, Mass, "2'950", 2950, 0},
		{"true minus", si, Temperature, "−7", -7, 0},
		{"three decimals after zero", si, Mass, "0,125", 0.125, 0},
		{"45 %", si, Share, "45 %", 0.45, 1e-12},
	} {
		got, err := c.f.Parse(c.q, c.text)
		if err != nil {
			t.Errorf("%s: %q is refused: %v", c.name, c.text, err)
		} else if !(math.Abs(got-c.want) <= c.tol) {
			t.Errorf("%s: %q = %.9g, want %.9g", c.name, c.text, got, c.want)
		}
	}
	// 24.9 to 22.9 mpg is 8.7 % more fuel per km.
	a, _ := us.Parse(Consumption, "24.9")
	b, _ := us.Parse(Consumption, "22.9")
	if r := b/a - 1; math.Abs(r-0.087) > 5e-4 {
		t.Errorf("24.9 to 22.9 mpg is %+.4f, want +0.087", r)
	}
}

func TestRefusals(t *testing.T) {
	si := Formatter{}
	for _, c := range []struct {
		f    Formatter
		q    Quantity
		text string
	}{
		{si, Mass, ""}, {si, Mass, "NaN"}, {si, Mass, "inf"}, {si, Mass, "1e3"}, {si, Mass, "0x10"}, {si, Mass, "--3"}, {si, Mass, "kg"},
		{si, Mass, "3 psi"}, {si, Mass, "1,234"}, {Formatter{Comma: true}, Mass, "1.234"}, {si, Mass, "1.234,5"}, {si, Mass, "1.2.3"},
		{si, Volume, "3 gal"}, {si, Consumption, "17 mpg"}, {si, Consumption, "0 km/L"}, {si, Consumption, "-3 km/L"},
		{si, Mass, "1 2"}, {si, Mass, "3 kg 4"}, {si, Duration, "1:75"}, {si, Duration, "30 min 1 h"}, {si, Temperature, "3 °C 4 °C"},
		{si, Mass, "1\x00"}, {si, Mass, "\xff3"}, {si, Mass, strings.Repeat("9", 300)}, {si, Mass, "3 kg kg"}, {si, Mass, "1 234 5"},
	} {
		if v, err := c.f.Parse(c.q, c.text); err == nil {
			t.Errorf("%v %q is read as %g, want it refused", c.q, c.text, v)
		} else if e := (*geo.InputError)(nil); !errors.As(err, &e) || e.Remedy == "" {
			t.Errorf("%v %q: error %v has no remedy", c.q, c.text, err)
		}
	}
	if _, err := (Formatter{System: US}).ParseIn(Mass, "900 t", Range{500, 20000}); err == nil || !strings.Contains(err.Error(), "lb") {
		t.Errorf("a vehicle of 900 t gives %v, want a refusal that names the bounds in pounds", err)
	}
	if v, err := (Formatter{System: US}).ParseIn(Consumption, "17", Range{3, 80}); err != nil || math.Abs(v-13.836) > 1e-3 {
		t.Errorf("17 mpg between bounds gives %g, %v", v, err)
	}
}

func TestFormat(t *testing.T) {
	si, us, uk := Formatter{}, Formatter{System: US}, Formatter{System: Imperial, Comma: true}
	for _, c := range []struct {
		f    Formatter
		q    Quantity
		v    float64
		want string
	}{
		{si, Consumption, 110 / 5.3, "20.8 L/100 km"}, {si, Distance, 12345, "12.3 km"}, {si, Distance, 850, "850 m"}, {us, Distance, 850, "0.5 mi"}, {us, Distance, 100, "328 ft"},
		{si, Volume, 4.25, "4.2 L"}, {us, Volume, 11.36, "3.0 US gal"}, {si, Mass, 2950, "2950 kg"}, {si, Temperature, -0.2, "0 °C"},
		{si, Temperature, -7, "−7 °C"}, {uk, Volume, 4.54609 * 1.5, "1,5 imp gal"}, {si, Force, 46.13, "46.1 kN"}, {us, Pressure, 248.211, "36 psi"},
		{si, Duration, 5400, "1 h 30 min"}, {si, Duration, 3599, "1 h"}, {si, Duration, 187200, "2 d 4 h"}, {si, Duration, 42, "42 s"},
		{si, Duration, -600, "−10 min"}, {si, Angle, 45, "45°"}, {si, Share, 0.456, "46 %"}, {si, Volume, math.NaN(), "unknown"},
		{si, Volume, math.Inf(1), "unknown"}, {us, Consumption, 0, "unknown"}, {us, Consumption, 13.8361, "17.0 mpg (US)"},
		{Formatter{Prefer: prefer(Pressure, "bar")}, Pressure, 240, "2.40 bar"},
	} {
		if got := strings.ReplaceAll(c.f.Format(c.q, c.v), nbsp, " "); got != c.want {
			t.Errorf("%v %g is written %q, want %q", c.q, c.v, got, c.want)
		}
	}
	if got := strings.ReplaceAll(si.Band(Volume, 9, 12.1, 16.4), nbsp, " "); got != "12.1 L (9.0–16.4 L)" {
		t.Errorf("band is written %q", got)
	}
	if got := strings.ReplaceAll(us.Band(Consumption, 10, 12, 16), nbsp, " "); got != "19.6 mpg (US) (14.7–23.5 mpg (US))" {
		t.Errorf("band of an inverse unit is written %q", got)
	}
}

func prefer(q Quantity, symbol string) (p [numQuantities]string) {
	p[q] = symbol
	return p
}

func formatters(t *rapid.T) Formatter {
	return Formatter{System: System(rapid.IntRange(0, 2).Draw(t, "system")), Comma: rapid.Bool().Draw(t, "comma")}
}

// What Edit writes, Parse gives back to a billionth, in every unit of every quantity.
func TestEditRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := formatters(t)
		q := Quantity(rapid.IntRange(0, int(numQuantities)-1).Draw(t, "quantity"))
		names := Units(q)
		f.Prefer[q] = rapid.SampledFrom(names).Draw(t, "unit")
		v := math.Pow(10, rapid.Float64Range(-4, 6).Draw(t, "size"))
		if q != Consumption && rapid.Bool().Draw(t, "negative") {
			v = -v
		}
		text := f.Edit(q, v)
		got, err := f.Parse(q, text)
		// Degrees Fahrenheit lose digits near their zero to the offset of 32.
		tol := 1e-9 * math.Max(math.Abs(v), math.Abs(f.unit(q).offset))
		if err != nil || math.Abs(got-v) > tol {
			t.Fatalf("%v %g is written %q and read back as %g, %v", q, v, text, got, err)
		}
	})
}

// What Format writes, Parse gives back to within half of its last digit.
func TestFormatRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := formatters(t)
		q := Quantity(rapid.IntRange(0, int(numQuantities)-1).Draw(t, "quantity"))
		v := math.Pow(10, rapid.Float64Range(0, 5).Draw(t, "size"))
		if f.unit(q).inverse {
			v = rapid.Float64Range(3, 60).Draw(t, "consumption")
		}
		text := f.Format(q, v)
		got, err := f.Parse(q, text)
		if err != nil {
			t.Fatalf("%v %g is written %q, which is refused: %v", q, v, text, err)
		}
		// The coarsest last digits: one unit of those without decimals, half an hour of days, half a minute.
		u := f.unit(q)
		tol := math.Max(0.05*v, math.Abs(u.factor))
		if u.inverse {
			tol = 0.05 * v
		}
		if math.Abs(got-v) > tol {
			t.Fatalf("%v %g is written %q and read back as %g", q, v, text, got)
		}
		if again := f.Format(q, got); again != text {
			t.Fatalf("%v: %q is read and written again as %q", q, text, again)
		}
	})
}

func TestEveryUsualUnitIsInItsTable(t *testing.T) {
	for q := Number; q < numQuantities; q++ {
		for s := Metric; s <= Imperial; s++ {
			if _, ok := bySymbol(q, usual[q][s]); !ok {
				t.Errorf("%v in %s is written in %q, which is not in its table", q, s.Key(), usual[q][s])
			}
		}
		for _, u := range tables[q] {
			for s := Metric; s <= Imperial; s++ {
				if got, ok := lookup(q, u.symbol, s); !ok || got.symbol != u.symbol {
					t.Errorf("%v: %q is read as %q", q, u.symbol, got.symbol)
				}
			}
		}
	}
	if _, ok := ParseSystem("furlongs"); ok {
		t.Error("a system of furlongs is known")
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"12", "1,5 L", "5'6\"", "1 h 30 min", "17 mpg", "-40 °F", "2 950 kg", "1:30", "3 gal", "L/100 km", "-1L/100", "\u2212", "1'2'3"} {
		f.Add(s, uint8(Duration), uint8(0), true)
		f.Add(s, uint8(Length), uint8(1), false)
		f.Add(s, uint8(Consumption), uint8(2), false)
	}
	for i, b := range garble.Copies(200, true, []byte("1 h 30 min"), []byte("5'6\""), []byte("2 950 kg"), []byte("12.5 L/100 km")) {
		f.Add(string(b), uint8(i), uint8(i/7), i%2 == 0)
	}
	f.Fuzz(func(t *testing.T, s string, q, system uint8, comma bool) {
		fm := Formatter{System: System(system % 3), Comma: comma}
		quantity := Quantity(q % uint8(numQuantities))
		v, err := fm.Parse(quantity, s)
		if err != nil {
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%q is read as %g", s, v)
		}
		if a := math.Abs(v); a < 1e-6 && a > 0 || a > 1e9 {
			return // beyond what entry fields show
		}
		text := fm.Edit(quantity, v)
		if text == "" { // zero litres per 100 km has no miles per gallon
			return
		}
		again, err := fm.Parse(quantity, text)
		if err != nil || math.Abs(again-v) > 1e-8*math.Max(1, math.Abs(v)) {
			t.Fatalf("%q is %g, written %q, read back as %g, %v", s, v, text, again, err)
		}
	})
}
