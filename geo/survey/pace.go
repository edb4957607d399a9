package survey

import (
	"fmt"
	"math"
	"slices"

	"lastroad/geo"
	"lastroad/geo/ground"
	"lastroad/geo/table"
)

// gradeRow is one row of pace.toml.
type gradeRow struct {
	Grade  float64    `toml:"grade"` // rise over run, >= 0
	Factor geo.Figure `toml:"factor"`
}

type paceFile struct {
	Up   []gradeRow `toml:"up"`
	Down []gradeRow `toml:"down"`
}

// PaceTable says how grade changes the driving pace. It does not change once parsed.
type PaceTable struct{ file paceFile }

// ParsePace reads pace.toml: rows from the level up, each no faster than the one before. Errors are of type
// geo.InputError and name the line.
func ParsePace(data []byte, file string) (*PaceTable, error) {
	p := &PaceTable{}
	doc, err := table.Decode(data, file, &p.file)
	if err != nil {
		return nil, err
	}
	for _, side := range []struct {
		path string
		rows []gradeRow
	}{{"up", p.file.Up}, {"down", p.file.Down}} {
		if len(side.rows) == 0 || side.rows[0].Grade != 0 {
			return nil, doc.Fault(side.path, "the first row must be for grade 0")
		}
		for i, r := range side.rows {
			at := fmt.Sprintf("%s.%d", side.path, i+1)
			switch {
			case !(r.Factor.Low > 0):
				return nil, doc.Fault(at+".factor", "must be above 0")
			case i > 0 && !(r.Grade > side.rows[i-1].Grade):
				return nil, doc.Fault(at+".grade", "must be above that of the row before")
			case i > 0 && r.Factor.Central > side.rows[i-1].Factor.Central:
				return nil, doc.Fault(at+".factor", "steeper ground must not be faster")
			}
		}
	}
	return p, nil
}

// Figures calls yield for every figure of the table by its path.
func (p *PaceTable) Figures(yield func(path string, f *geo.Figure)) { table.Figures(&p.file, yield) }

// With gives a table in which the figure at a path has another value, all of its band; ok is false when there is none.
func (p *PaceTable) With(path string, v float64) (out *PaceTable, ok bool) {
	out = &PaceTable{paceFile{slices.Clone(p.file.Up), slices.Clone(p.file.Down)}}
	out.Figures(func(at string, f *geo.Figure) {
		if at == path {
			f.Low, f.Central, f.High, ok = v, v, v, true
		}
	})
	return out, ok
}

// Numbers lists every figure of the table.
func (p *PaceTable) Numbers() []ground.Number {
	var out []ground.Number
	for _, side := range []struct {
		path string
		rows []gradeRow
	}{{"up", p.file.Up}, {"down", p.file.Down}} {
		for i, r := range side.rows {
			out = append(out, ground.Number{Path: fmt.Sprintf("%s.%d.factor", side.path, i+1), Title: fmt.Sprintf("pace %shill at %.0f %%", side.path, 100*r.Grade), Figure: r.Factor})
		}
	}
	return out
}

// Factor is what the pace on gentle ground is multiplied by at a grade (rise over run in driving
// direction); 1 where the grade is unknown.
func (p *PaceTable) Factor(grade float64) float64 {
	rows := p.file.Up
	if grade < 0 {
		rows = p.file.Down
	}
	g := math.Abs(grade)
	if math.IsNaN(g) {
		return 1
	}
	for i := 1; i < len(rows); i++ {
		if a, b := rows[i-1], rows[i]; g < b.Grade {
			return a.Factor.Central + (g-a.Grade)/(b.Grade-a.Grade)*(b.Factor.Central-a.Factor.Central)
		}
	}
	return rows[len(rows)-1].Factor.Central
}
