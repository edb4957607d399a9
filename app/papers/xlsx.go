package papers

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/risk"
)

// Assumption is one number of the tables with its band and provenance, for the assumptions sheet.
type Assumption struct {
	Name, Unit, From, Source string
	Low, Central, High       float64
}

// Workbook writes the sheets legs, needs, load, gaps and assumptions as XLSX: real numbers with the
// unit in the header, the header row frozen and repeated in print, landscape, narrow tables one page wide. Text stays
// text, whatever it begins with. made is the date that stands in the file's properties.
func Workbook(w io.Writer, d *trip.Document, load []LoadRow, numbers []Assumption, made time.Time) error {
	x := excelize.NewFile()
	defer x.Close()
	stamp := made.UTC().Format("2006-01-02T15:04:05Z")
	if err := x.SetDocProps(&excelize.DocProperties{Creator: "lastroad", LastModifiedBy: "lastroad", Created: stamp, Modified: stamp, Title: d.Name(), Description: report.Caution}); err != nil {
		return err
	}
	if err := x.SetSheetName("Sheet1", "legs"); err != nil {
		return err
	}
	var head []string
	for _, c := range legColumns() {
		head = append(head, c.header)
	}
	sheets := []struct {
		name string
		head []string
		rows [][]any
	}{
		{"legs", head, rows(d)},
		{"needs", []string{"leg", "kind", "item", "chance of being asked for", "wanted (pieces)", "carried (pieces)", "missing"}, needRows(d)},
		{"load", []string{"place", "item", "count", "mass each (kg)", "mass (kg)", "rating (kN)"}, loadRows(load)},
		{"gaps", []string{"leg", "trouble", "points lost", "of which missing item", "of which stock used up", "of which help too late", "of which rest", "cure", "cure mass (kg)", "cure points", "in words"}, gapRows(d)},
		{"assumptions", []string{"number", "low", "central", "high", "unit", "from", "source"}, assumptionRows(numbers)},
	}
	for _, s := range sheets {
		if i, err := x.GetSheetIndex(s.name); err != nil || i < 0 {
			if _, err := x.NewSheet(s.name); err != nil {
				return err
			}
		}
		if err := writeSheet(x, s.name, s.head, s.rows); err != nil {
			return err
		}
	}
	return x.Write(w)
}

func writeSheet(x *excelize.File, name string, head []string, rows [][]any) error {
	font := excelize.Font{Family: "Calibri", Size: 11}
	plain, err := x.NewStyle(&excelize.Style{Font: &font, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	if err != nil {
		return err
	}
	font.Bold = true
	bold, err := x.NewStyle(&excelize.Style{Font: &font, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"},
		Border: []excelize.Border{{Type: "bottom", Color: "808080", Style: 1}}})
	if err != nil {
		return err
	}
	for k, h := range head {
		cell, err := excelize.CoordinatesToCellName(k+1, 1)
		if err != nil {
			return err
		}
		if err := x.SetCellStr(name, cell, h); err != nil {
			return err
		}
	}
	last, err := excelize.ColumnNumberToName(len(head))
	if err != nil {
		return err
	}
	if err := x.SetCellStyle(name, "A1", last+"1", bold); err != nil {
		return err
	}
	// Headers of two and three words are wrapped: their row has room for three lines.
	if err := x.SetRowHeight(name, 1, 46); err != nil {
		return err
	}
	if len(rows) > 0 {
		if err := x.SetCellStyle(name, "A2", fmt.Sprintf("%s%d", last, len(rows)+1), plain); err != nil {
			return err
		}
	}
	wide := make([]int, len(head))
	for i, r := range rows {
		for k, v := range r {
			cell, err := excelize.CoordinatesToCellName(k+1, i+2)
			if err != nil {
				return err
			}
			switch v := v.(type) {
			case float64:
				if math.IsNaN(v) || math.IsInf(v, 0) {
					continue // unknown stays empty
				}
				err = x.SetCellFloat(name, cell, round(v, 4), -1, 64)
			case int:
				err = x.SetCellInt(name, cell, int64(v))
			case string:
				err = x.SetCellStr(name, cell, trimCell(v))
				wide[k] = max(wide[k], len([]rune(v)))
			}
			if err != nil {
				return err
			}
		}
	}
	for k := range head {
		col, err := excelize.ColumnNumberToName(k + 1)
		if err != nil {
			return err
		}
		if err := x.SetColWidth(name, col, col, columnWidth(wide[k])); err != nil {
			return err
		}
	}
	// Programs do not all fit the height of rows to wrapped text by themselves.
	for i, r := range rows {
		lines := 1
		for k, v := range r {
			if t, ok := v.(string); ok {
				lines = max(lines, int(math.Ceil(1.15*float64(len([]rune(t)))/columnWidth(wide[k]))))
			}
		}
		if lines > 1 {
			if err := x.SetRowHeight(name, i+2, math.Min(409, 15*float64(lines))); err != nil { // 409 points is the format's limit
				return err
			}
		}
	}
	// A table of many columns keeps its first two in sight, and is printed on so many pages beside each other
	// that it can be read: a column for every 2.2 cm or so.
	panes := excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}
	titles := "'" + name + "'!$1:$1"
	landscape, fitW, fitH, fit := "landscape", 1+(len(head)-1)/12, 0, true
	if fitW > 1 {
		panes.XSplit, panes.TopLeftCell, panes.ActivePane = 2, "C2", "bottomRight"
		titles = "'" + name + "'!$A:$B," + titles
	}
	if err := x.SetPanes(name, &panes); err != nil {
		return err
	}
	if err := x.SetPageLayout(name, &excelize.PageLayoutOptions{Orientation: &landscape, FitToWidth: &fitW, FitToHeight: &fitH}); err != nil {
		return err
	}
	if err := x.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	return x.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: titles, Scope: name})
}

// columnWidth is the width of a column, in letters, whose longest text has n.
func columnWidth(n int) float64 { return math.Min(44, math.Max(12, float64(n)+1)) }

// A cell holds at most 32,767 characters.
func trimCell(s string) string {
	if r := []rune(s); len(r) > 32000 {
		return string(r[:32000]) + "…"
	}
	return strings.ToValidUTF8(s, "?")
}

func needRows(d *trip.Document) [][]any {
	var out [][]any
	add := func(leg int, kind string, ps []risk.PartNeed) {
		for _, p := range ps {
			miss := "no"
			if p.Missing {
				miss = "yes"
			}
			out = append(out, []any{leg, kind, p.Title, p.Chance, p.Want, p.Have, miss})
		}
	}
	for i, l := range d.Judgement.Legs {
		add(i+1, "item", l.Needs.Parts)
		add(i+1, "skill", l.Needs.Skills)
	}
	return out
}

func gapRows(d *trip.Document) [][]any {
	var out [][]any
	for i, l := range d.Judgement.Legs {
		for _, x := range l.Score.Lost {
			cure, kg, points := "", math.NaN(), math.NaN()
			if x.Cure != nil {
				cure, kg, points = x.Cure.Title, x.Cure.MassKg, x.Cure.Points
			}
			out = append(out, []any{i + 1, x.Title, x.Points, x.Missing, x.Stock, x.Late, x.Rest, cure, kg, points, x.Text})
		}
	}
	return out
}

// LoadRow is one line of the load list.
type LoadRow struct {
	Place, Title string
	Count        float64
	EachKg       float64
	RatingKN     float64 // 0 = bears no force, NaN = unknown
}

func loadRows(load []LoadRow) [][]any {
	var out [][]any
	for _, l := range load {
		r := any(l.RatingKN)
		if l.RatingKN == 0 {
			r = ""
		}
		out = append(out, []any{l.Place, l.Title, l.Count, l.EachKg, l.Count * l.EachKg, r})
	}
	return out
}

func assumptionRows(numbers []Assumption) [][]any {
	var out [][]any
	for _, n := range numbers {
		out = append(out, []any{n.Name, n.Low, n.Central, n.High, n.Unit, n.From, n.Source})
	}
	return out
}

// WorkbookText is what a workbook holds as plain text: its sheets one after the other, the cells of a row
// parted by bars, each column as wide as its longest cell, up to a limit.
func WorkbookText(data []byte) (string, error) {
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		return "", err
	}
	defer f.Close()
	const most = 34 // letters of a cell
	var b strings.Builder
	for _, name := range f.GetSheetList() {
		rows, err := f.GetRows(name)
		if err != nil {
			return "", err
		}
		var wide []int
		for _, r := range rows {
			for k := range r {
				if k == len(wide) {
					wide = append(wide, 0)
				}
				r[k] = shorten(flat(r[k]), most)
				wide[k] = max(wide[k], utf8.RuneCountInString(r[k]))
			}
		}
		fmt.Fprintf(&b, "%s\n", strings.ToUpper(name))
		for _, r := range rows {
			for k, c := range r {
				fmt.Fprintf(&b, "%-*s  ", wide[k], c)
			}
			b.WriteByte('\n')
		}
		b.WriteByte('\n')
	}
	return b.String(), nil
}
