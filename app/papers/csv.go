package papers

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"

	"lastroad/app/trip"
)

// LegCSV writes the per-leg needs as CSV (RFC 4180: CRLF line ends, quotes doubled), one row a leg,
// numbers with a decimal point, unknown ones empty. Text that a spreadsheet would run as a formula
// is preceded by an apostrophe.
func LegCSV(w io.Writer, d *trip.Document) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	var head []string
	for _, col := range legColumns() {
		head = append(head, col.header)
	}
	if err := c.Write(head); err != nil {
		return err
	}
	for _, r := range rows(d) {
		line := make([]string, len(r))
		for i, v := range r {
			line[i] = cellText(v)
		}
		if err := c.Write(line); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// cellText is a value as a CSV cell.
func cellText(v any) string {
	switch v := v.(type) {
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return ""
		}
		return strconv.FormatFloat(round(v, 4), 'f', -1, 64)
	case int:
		return strconv.Itoa(v)
	case string:
		return harmless(v)
	}
	panic("papers: a cell is neither number nor text")
}

// harmless keeps a spreadsheet from running text as a formula: cells that begin with one of the characters
// that start one, behind blanks or in their wide forms too, or with a control character, get an apostrophe
// before them (as the OWASP page on CSV injection advises).
func harmless(s string) string {
	for i, r := range s {
		switch {
		case r == '\t', r == '\r', r == '\n', strings.ContainsRune("=+-@＝＋－＠", r):
			return "'" + s
		case r == ' ' || r == 0xa0:
			continue
		case i == 0 && r < ' ':
			return "'" + s
		}
		return s
	}
	return s
}

// round keeps n decimals.
func round(v float64, n int) float64 {
	p := math.Pow(10, float64(n))
	return math.Round(v*p) / p
}
