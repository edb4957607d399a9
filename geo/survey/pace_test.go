package survey

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lastroad/assets"
	"lastroad/geo"
)

func TestPaceFactor(t *testing.T) {
	p := tables(t).Pace
	for _, row := range []struct{ grade, want float64 }{
		{0, 1}, {math.NaN(), 1}, {0.06, 1}, {0.12, 0.8}, {0.16, 0.675}, {0.9, 0.35}, {-0.12, 0.75}, {-2, 0.3},
	} {
		if got := p.Factor(row.grade); math.Abs(got-row.want) > 1e-12 {
			t.Errorf("at a grade of %v the pace is multiplied by %v, want %v by the table", row.grade, got, row.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(0, 1).Draw(t, "a"), rapid.Float64Range(0, 1).Draw(t, "b")
		for _, sign := range []float64{1, -1} {
			if a < b && p.Factor(sign*a) < p.Factor(sign*b) {
				t.Fatalf("grade %v is slower than %v", sign*a, sign*b)
			}
		}
	})
}

func TestParsePaceRefuses(t *testing.T) {
	good, file := assets.Table("pace")
	for name, edit := range map[string][2]string{
		"unknown key":      {"grade = 0.06", "slope = 0.06"},
		"rows out of turn": {"grade = 0.06", "grade = 0.5"},
		"faster uphill":    {"low = 0.65, central = 0.8, high = 0.95", "low = 1.2, central = 1.3, high = 1.4"},
		"no source":        {`source = "judgement: crawling on engine braking"`, `source = ""`},
		"zero pace":        {"low = 0.2, central = 0.35", "low = 0, central = 0.35"},
		"no level row":     {"[[down]]\ngrade = 0.0", "[[down]]\ngrade = 0.01"},
	} {
		if !strings.Contains(string(good), edit[0]) {
			t.Fatalf("%s: the table does not hold %q", name, edit[0])
		}
		_, err := ParsePace([]byte(strings.Replace(string(good), edit[0], edit[1], 1)), file)
		var bad *geo.InputError
		if !errors.As(err, &bad) || bad.File != file {
			t.Errorf("%s: error %v, want an input error that names the file", name, err)
		}
	}
}
