package bench

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// row is one line of the table.
type row struct {
	work  string  // what is done, with its size
	how   string  // how both sides are timed
	unit  string  // of ours and peer
	ours  float64 // median; NaN = not measured
	peer  float64
	who   string  // the peer with its version
	goal  float64 // the ratio not to be exceeded; 0 = none was set
	check string  // what was found equal in both answers
	why   string  // why it was not measured, "" when it was
}

// ratio is ours to the peer's.
func (r row) ratio() float64 { return r.ours / r.peer }

func (r row) met() string {
	switch q := r.ratio(); {
	case math.IsNaN(q):
		return "not measured"
	case r.goal == 0:
		return "no goal"
	case q <= r.goal:
		return "yes"
	}
	return "no"
}

// figure shows three digits that count.
func figure(v float64) string {
	switch a := math.Abs(v); {
	case math.IsNaN(v):
		return "?"
	case a >= 100:
		return fmt.Sprintf("%.0f", v)
	case a >= 10:
		return fmt.Sprintf("%.1f", v)
	case a >= 1:
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.3f", v)
}

// markdown is the table with the line about the machine above it.
func markdown(rows []row, machine string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n\n", machine)
	b.WriteString("| work | ours | peer | ratio | goal | met | same answer |\n| --- | --- | --- | --- | --- | --- | --- |\n")
	var skipped []string
	for _, r := range rows {
		if r.why != "" {
			skipped = append(skipped, fmt.Sprintf("%s, beside %s: %s.", r.work, r.who, r.why))
			continue
		}
		goal := "-"
		if r.goal > 0 {
			goal = fmt.Sprintf("%g", r.goal)
		}
		work := r.work
		if r.how != "" {
			work += " (" + r.how + ")"
		}
		fmt.Fprintf(&b, "| %s | %s %s | %s %s, %s | %s | %s | %s | %s |\n", work, figure(r.ours), r.unit, figure(r.peer), r.unit, r.who, figure(r.ratio()), goal, r.met(), r.check)
	}
	if len(skipped) > 0 {
		b.WriteString("\nNot measured: " + strings.Join(skipped, " ") + "\n")
	}
	return b.String()
}

// The README's table stands between these lines.
const (
	begin = "<!-- bench: written by go run ./cmd/dev bench --write -->"
	end   = "<!-- bench: end -->"
)

// quote puts table between the markers of text.
func quote(text, table string) (string, error) {
	a := strings.Index(text, begin)
	z := strings.Index(text, end)
	if a < 0 || z < a {
		return "", fmt.Errorf("no place for the table: the lines %q and %q are missing or the wrong way round", begin, end)
	}
	return text[:a+len(begin)] + "\n" + strings.TrimSpace(table) + "\n" + text[z:], nil
}

// median is the middle value, the mean of the two middle ones of an even number; NaN for none.
func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(v))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}
