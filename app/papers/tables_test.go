package papers

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"lastroad/app/trip"
)

// with gives the demo with an edited plan; nothing is measured or judged again.
func with(t testing.TB, edit func(p *trip.Plan)) *Set {
	t.Helper()
	s := demoSet(t)
	d := *s.Doc
	d.Plan = d.Plan.Clone()
	edit(&d.Plan)
	s.Doc = &d
	return s
}

// RFC 4180 by its own rules, read by hand: records end with CRLF, the last one too; every record has as many
// fields as the header; a field with a comma, a quote or a line end stands in quotes, quotes doubled.
func TestCSVKeepsTheRFC(t *testing.T) {
	s := demoSet(t)
	sv := *s.Doc.Survey
	sv.Legs = append(sv.Legs[:0:0], sv.Legs...)
	sv.Legs[0].Name, sv.Legs[1].Name = "a \"quoted\", name", "two\nlines"
	d := *s.Doc
	d.Survey = &sv
	var b bytes.Buffer
	if err := LegCSV(&b, &d); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	if !strings.HasSuffix(text, "\r\n") || strings.Contains(strings.ReplaceAll(text, "\r\n", ""), "\r") {
		t.Error("records do not end with CRLF, or a lone CR stands in the file")
	}
	var records [][]string
	var fields []string
	for i := 0; i < len(text); {
		if text[i] == '"' {
			var f strings.Builder
			i++
			for {
				if strings.HasPrefix(text[i:], `""`) {
					f.WriteByte('"')
					i += 2
				} else if text[i] == '"' {
					i++
					break
				} else {
					f.WriteByte(text[i])
					i++
				}
			}
			fields = append(fields, f.String())
		} else {
			j := i
			for text[j] != ',' && text[j] != '\r' {
				if text[j] == '"' || text[j] == '\n' {
					t.Fatalf("a bare field holds %q at byte %d", text[j], j)
				}
				j++
			}
			fields = append(fields, text[i:j])
			i = j
		}
		switch text[i] {
		case ',':
			i++
		case '\r':
			records, fields = append(records, fields), nil
			i += 2
		default:
			t.Fatalf("byte %q at %d stands behind a closing quote", text[i], i)
		}
	}
	if len(records) != len(s.Doc.Judgement.Legs)+1 {
		t.Errorf("%d records, want a header and %d legs", len(records), len(s.Doc.Judgement.Legs))
	}
	for i, r := range records {
		if len(r) != len(legColumns()) {
			t.Errorf("record %d has %d fields, the header %d", i, len(r), len(legColumns()))
		}
	}
	// A field that a line end parts is told as CRLF by some readers: its text is what counts.
	if records[1][1] != `a "quoted", name` || strings.ReplaceAll(records[2][1], "\r\n", "\n") != "two\nlines" {
		t.Errorf("names came back as %q and %q", records[1][1], records[2][1])
	}
}

// formulaLike begins as a spreadsheet would begin a formula, also behind blanks and in wide letters.
var formulaLike = []string{"=1+1", "+1", "-1+cmd|' /C calc'!A0", "@SUM(A1)", "\t=1", "\r=1", "=HYPERLINK(\"http://x\")", "  =1+1", "＝1+1", "\n=1"}

func TestNoCellRunsAsAFormula(t *testing.T) {
	for _, evil := range formulaLike {
		s := demoSet(t)
		sv := *s.Doc.Survey
		sv.Legs = append(sv.Legs[:0:0], sv.Legs...)
		for i := range sv.Legs {
			sv.Legs[i].Name = evil
		}
		d := *s.Doc
		d.Survey, d.Plan.Trip.Name = &sv, evil
		var b bytes.Buffer
		if err := LegCSV(&b, &d); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range rows {
			for k, c := range r {
				if !regexp.MustCompile(`^[\s\x{a0}]*[=+\-@＝＋－＠]`).MatchString(c) {
					continue
				}
				// A negative number is no formula.
				if _, err := strconv.ParseFloat(c, 64); err != nil {
					t.Errorf("name %q: row %d, column %d is %q", evil, i, k, c)
				}
			}
		}
		b.Reset()
		load := []LoadRow{{Place: evil, Title: evil, Count: 1, EachKg: 1}}
		if err := Workbook(&b, &d, load, []Assumption{{Name: evil, Unit: evil, From: evil, Source: evil}}, s.Made); err != nil {
			t.Fatal(err)
		}
		x, err := excelize.OpenReader(&b)
		if err != nil {
			t.Fatal(err)
		}
		for _, sheet := range x.GetSheetList() {
			rows, err := x.GetRows(sheet)
			if err != nil {
				t.Fatal(err)
			}
			for i, r := range rows {
				for k := range r {
					cell, _ := excelize.CoordinatesToCellName(k+1, i+1)
					if f, _ := x.GetCellFormula(sheet, cell); f != "" {
						t.Errorf("name %q: cell %s of %s holds the formula %q", evil, cell, sheet, f)
					}
				}
			}
		}
		if v, _ := x.GetCellValue("legs", "B2"); v != evil {
			t.Errorf("name %q stands in the workbook as %q: text is to stay text", evil, v)
		}
		x.Close()
	}
}

func TestWorkbookIsSetUpForReadingAndPrinting(t *testing.T) {
	s := demoSet(t)
	var b bytes.Buffer
	if err := Workbook(&b, s.Doc, s.Load, s.Numbers, s.Made); err != nil {
		t.Fatal(err)
	}
	x, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	if got := strings.Join(x.GetSheetList(), " "); got != "legs needs load gaps assumptions" {
		t.Errorf("the sheets are %q", got)
	}
	for _, sheet := range x.GetSheetList() {
		p, err := x.GetPanes(sheet)
		if err != nil || !p.Freeze || p.YSplit != 1 {
			t.Errorf("%s: the header row is not frozen (%+v, %v)", sheet, p, err)
		}
		l, err := x.GetPageLayout(sheet)
		if err != nil || l.Orientation == nil || *l.Orientation != "landscape" || l.FitToWidth == nil || (*l.FitToWidth != 1) != (sheet == "legs") {
			t.Errorf("%s: not landscape, or not one page wide though it is narrow", sheet)
		}
		rows, err := x.GetRows(sheet)
		if err != nil || len(rows) < 2 {
			t.Errorf("%s has %d rows, %v", sheet, len(rows), err)
		}
	}
	titles := 0
	for _, n := range x.GetDefinedName() {
		if n.Name == "_xlnm.Print_Titles" {
			titles++
		}
	}
	if titles != 5 {
		t.Errorf("%d sheets repeat their header in print, want 5", titles)
	}
	// Numbers are numbers: the kilometres of leg 2.
	if typ, err := x.GetCellType("legs", "C3"); err != nil || typ != excelize.CellTypeUnset && typ != excelize.CellTypeNumber {
		t.Errorf("a number is stored as cell type %v, %v", typ, err)
	}
}

// The office suite reads the workbook and writes it as CSV: every number is the one that our own CSV has.
func TestWorkbookWithOfficeSuite(t *testing.T) {
	if testing.Short() {
		t.Skip("starting an office suite takes long")
	}
	soffice := wants(t, "soffice")
	s := demoSet(t)
	book := write(t, s, "workbook")
	dir := t.TempDir()
	cmd := exec.Command(soffice, "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--headless", "--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,-1", "--outdir", dir, book)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Skipf("the office suite does not convert here: %v %s", err, out)
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*.csv"))
	if len(files) != 5 {
		t.Fatalf("the office suite wrote %d sheets, want 5: %v", len(files), files)
	}
	for _, f := range files {
		if !strings.HasSuffix(f, "-legs.csv") {
			continue
		}
		got := readCSV(t, f)
		var b bytes.Buffer
		if err := LegCSV(&b, s.Doc); err != nil {
			t.Fatal(err)
		}
		want, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if len(got) != len(want) {
			t.Fatalf("the office suite reads %d rows, want %d", len(got), len(want))
		}
		n := 0
		for i := range want {
			for k, w := range want[i] {
				g := ""
				if k < len(got[i]) {
					g = got[i][k]
				}
				if a, err := strconv.ParseFloat(w, 64); err == nil {
					n++
					b, err := strconv.ParseFloat(g, 64)
					// Both are written with four decimals at most.
					if err != nil || math.Abs(a-b) > 1e-9*math.Max(1, math.Abs(a)) {
						t.Errorf("row %d, %s: the office suite reads %q, our CSV has %q", i, want[0][k], g, w)
					}
				} else if i > 0 && strings.TrimPrefix(w, "'") != g {
					t.Errorf("row %d, %s: the office suite reads %q, our CSV has %q", i, want[0][k], g, w)
				}
			}
		}
		if n < 500 {
			t.Errorf("only %d numbers were compared", n)
		}
		return
	}
	t.Errorf("no sheet of legs among %v", files)
}

func readCSV(t *testing.T, file string) [][]string {
	t.Helper()
	r := csv.NewReader(strings.NewReader(run(t, "cat", file)))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// Markdown: the table has as many cells in every row, and no text of the user's breaks out of its cell.
func TestMarkdownHoldsItsTable(t *testing.T) {
	s := demoSet(t)
	sv := *s.Doc.Survey
	sv.Legs = append(sv.Legs[:0:0], sv.Legs...)
	sv.Legs[0].Name = "a | b <script>alert(1)</script> [x](http://y) `z`\n# head"
	d := *s.Doc
	d.Survey = &sv
	var b bytes.Buffer
	if err := Markdown(&b, &d, s.Words); err != nil {
		t.Fatal(err)
	}
	cells, rows := 0, 0
	unescaped := regexp.MustCompile(`(^|[^\\])\|`)
	for _, line := range strings.Split(b.String(), "\n") {
		if !strings.HasPrefix(line, "|") {
			continue
		}
		n := len(unescaped.FindAllString(strings.ReplaceAll(line, "| |", "|  |"), -1))
		if cells == 0 {
			cells = n
		}
		if n != cells {
			t.Errorf("a row has %d cells, the header %d: %s", n, cells, line)
		}
		rows++
	}
	if rows != len(d.Judgement.Legs)+2 {
		t.Errorf("the table has %d rows, want header, rule and %d legs", rows, len(d.Judgement.Legs))
	}
	for _, bad := range []string{`<script`, `\n# head`, `[^\\]\]\(http`} {
		if regexp.MustCompile(bad).MatchString(b.String()) {
			t.Errorf("the user's text broke out: %q stands in the file", bad)
		}
	}
}

func TestPositionsAreWrittenAsOnTheRadio(t *testing.T) {
	for _, c := range []struct {
		lon, lat float64
		want     string
	}{
		// Degrees and decimal minutes by hand: 0.5 degrees are 30 minutes, 0.99999 rounds to the next degree.
		{1.5, 42.25, "N 42°15.000', E 1°30.000'"},
		{-108.99999999, -31.5, "S 31°30.000', W 109°00.000'"},
		{0, 0, "N 0°00.000', E 0°00.000'"},
	} {
		if got := position([2]float64{c.lon, c.lat}); !strings.HasPrefix(got, c.want+", ") {
			t.Errorf("%g, %g is written %q, want %q and a grid reference", c.lat, c.lon, got, c.want)
		}
	}
	if got := position([2]float64{10, 89}); strings.Count(got, ",") != 1 {
		t.Errorf("at the pole, where the grid has no squares of this kind, it says %q", got)
	}
}

func ExamplePick() {
	p, err := Pick([]string{"book", "gpx"})
	fmt.Println(p[0].File, p[1].File, err)
	_, err = Pick([]string{"brochure"})
	fmt.Println(err)
	// Output:
	// trip-book.pdf route.gpx <nil>
	// paper "brochure" is not known; the papers are book, home, home-text, leg-csv, workbook, json, markdown, gpx, geojson, kml, map-png, map-svg, strip-png, strip-svg
}
