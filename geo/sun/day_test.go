package sun

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

var london = orb.Point{-0.1278, 51.5074}

const usno = "US Naval Observatory, Astronomical Applications, data for one day"

// A published event: "hh:mm" or "hh:mm:ss" on the date, "-" for none, "" for not published.
type row struct {
	name, source     string
	place            orb.Point
	date             string
	offsetH          int // hours east of UTC in which the times are given
	rise, set        string
	dawn, dusk, noon string
	up, lit          bool // of days without events
	tolerance        time.Duration
}

// Times given to the minute are rounded; with half a minute for that and for the bending of the air a
// minute is allowed below 65 degrees, a minute and a half where the sun grazes the horizon.
var rows = []row{
	{"Atlanta, summer time", usno + ", quoted by the manual of PyEphem", orb.Point{-84.4, 33.8}, "2009-09-06", -4, "07:15", "19:56", "06:50", "20:21", "13:36", true, true, time.Minute},
	{"Golden, Colorado, rise", "NREL Solar Position Algorithm, report TP-560-34302, table A5.1", orb.Point{-105.1786, 39.742476}, "2003-10-17", -7, "06:12:43", "", "", "", "", true, true, 3 * time.Second},
	{"Golden, Colorado, set of the evening before", "the same; printed there as the set of the UTC day", orb.Point{-105.1786, 39.742476}, "2003-10-16", -7, "", "17:20:19", "", "", "", true, true, 3 * time.Second},
	{"Oslo, midsummer", usno, orb.Point{10.7522, 59.9139}, "2025-06-21", 0, "01:54", "20:44", "00:10", "22:28", "11:19", true, true, time.Minute},
	{"Oslo, midwinter", usno, orb.Point{10.7522, 59.9139}, "2025-12-21", 0, "08:18", "14:12", "07:21", "15:10", "11:15", true, true, time.Minute},
	{"Quito, equinox", usno, orb.Point{-78.4678, -0.1807}, "2025-03-20", 0, "11:18", "23:24", "10:57", "23:45", "17:21", true, true, time.Minute},
	{"Sydney, equinox: the UTC day begins with the set", usno, orb.Point{151.2093, -33.8688}, "2025-09-22", 0, "19:44", "07:51", "", "", "", true, true, time.Minute},
	{"Sydney, midsummer", usno, orb.Point{151.2093, -33.8688}, "2025-12-21", 0, "18:41", "09:06", "", "", "", true, true, time.Minute},
	{"Reykjavik, midwinter", usno, orb.Point{-21.9426, 64.1466}, "2025-12-21", 0, "11:22", "15:30", "10:03", "16:49", "13:26", true, true, time.Minute},
	{"London, midsummer", usno, london, "2025-06-21", 0, "03:43", "20:22", "02:55", "21:09", "12:02", true, true, time.Minute},
	{"70 N, midnight sun", usno, orb.Point{0, 70}, "2025-06-21", 0, "-", "-", "-", "-", "12:02", true, true, time.Minute},
	{"70 N, polar night", usno, orb.Point{0, 70}, "2025-12-21", 0, "-", "-", "09:55", "14:02", "11:58", false, true, time.Minute},
	{"70 N, last day with sun", usno, orb.Point{0, 70}, "2025-11-24", 0, "11:14", "12:19", "", "", "", true, true, time.Minute},
	{"70 N, first day without", usno, orb.Point{0, 70}, "2025-11-25", 0, "-", "-", "08:51", "14:43", "", false, true, time.Minute},
	{"70 N, last rise of the spring", usno, orb.Point{0, 70}, "2025-05-16", 0, "00:15", "-", "", "", "", true, true, 90 * time.Second},
	{"70 N, first night of the summer", usno, orb.Point{0, 70}, "2025-07-29", 0, "00:57", "23:05", "", "", "", true, true, 90 * time.Second},
	{"70 N, sun comes back", usno, orb.Point{0, 70}, "2026-01-17", 0, "11:41", "12:40", "", "", "", true, true, 90 * time.Second},
	{"Tromso, first of April", usno + ", as quoted", orb.Point{19, 69.5}, "2014-04-01", 1, "04:50", "18:49", "03:46", "19:53", "11:48", true, true, 90 * time.Second},
	{"Tromso, end of April: no darkness", usno + ", as quoted", orb.Point{19, 69.5}, "2014-04-30", 1, "02:29", "20:58", "-", "-", "11:41", true, true, 90 * time.Second},
	{"Hawaii", usno, orb.Point{-155.5667, 20.1167}, "2015-04-02", 0, "16:15", "", "", "", "", true, true, time.Minute},
	{"Hawaii, next day", usno, orb.Point{-155.5667, 20.1167}, "2015-04-03", 0, "16:14", "", "", "", "", true, true, time.Minute},
	{"Fairbanks, midwinter", "a local almanac page; place from memory, hence two minutes", orb.Point{-147.72, 64.84}, "2012-12-21", -9, "10:58", "14:41", "09:33", "16:06", "12:50", true, true, 2 * time.Minute},
}

// clock reads "hh:mm" or "hh:mm:ss" of a date.
func clock(t *testing.T, date time.Time, s string) time.Time {
	t.Helper()
	var h, m, sec int
	if n, _ := fmt.Sscanf(s, "%d:%d:%d", &h, &m, &sec); n < 2 {
		t.Fatalf("time %q cannot be read", s)
	}
	return time.Date(date.Year(), date.Month(), date.Day(), h, m, sec, 0, date.Location())
}

func TestPublishedDays(t *testing.T) {
	for _, c := range rows {
		t.Run(c.name, func(t *testing.T) {
			date, err := time.ParseInLocation("2006-01-02", c.date, time.FixedZone("", c.offsetH*3600))
			if err != nil {
				t.Fatal(err)
			}
			d := On(date.Year(), date.Month(), date.Day(), date.Location(), c.place)
			for _, e := range []struct {
				name string
				got  Event
				want string
			}{{"rise", d.Rise, c.rise}, {"set", d.Set, c.set}, {"dawn", d.Dawn, c.dawn}, {"dusk", d.Dusk, c.dusk}, {"noon", Event{d.Noon, true}, c.noon}} {
				switch {
				case e.want == "":
				case e.want == "-":
					if e.got.OK {
						t.Errorf("%s at %v, want none (%s)", e.name, e.got.Time, c.source)
					}
				case !e.got.OK:
					t.Errorf("no %s, want %s (%s)", e.name, e.want, c.source)
				default:
					if off := e.got.Time.Sub(clock(t, date, e.want)); off.Abs() > c.tolerance {
						t.Errorf("%s at %s, want %s (%s)", e.name, e.got.Time.In(date.Location()).Format("15:04:05"), e.want, c.source)
					}
				}
			}
			if d.Up != c.up || d.Lit != c.lit {
				t.Errorf("up %v, lit %v; want %v, %v", d.Up, d.Lit, c.up, c.lit)
			}
		})
	}
}

// Twelve rows of the US Naval Observatory's table "Rise and Set for the Sun for 2007" for Atlanta,
// Georgia (W084 25, N33 46, Eastern Standard Time), as carried by PyEphem.
const atlanta2007 = `
01-01 0743 1740
02-02 0734 1809
03-11 0654 1842
03-20 0642 1849
04-15 0607 1909
05-21 0533 1936
06-12 0526 1949
06-30 0530 1952
07-07 0533 1952
08-19 0602 1920
10-21 0647 1757
12-05 0727 1729
`

var atlantaTable = orb.Point{-(84 + 25.0/60), 33 + 46.0/60}

// checkAtlanta compares a day with hhmm times of the table.
func checkAtlanta(t *testing.T, month time.Month, day int, rise, set string) {
	t.Helper()
	est := time.FixedZone("EST", -5*3600)
	d := On(2007, month, day, est, atlantaTable)
	for _, e := range []struct {
		name string
		got  Event
		want string
	}{{"rise", d.Rise, rise}, {"set", d.Set, set}} {
		n, err := strconv.Atoi(e.want)
		if err != nil || !e.got.OK {
			t.Errorf("2007-%02d-%02d: %s %q, found %v", month, day, e.name, e.want, e.got)
			continue
		}
		// Rounded to the minute: half a minute, and fifteen seconds for place (a minute of arc) and air.
		if off := e.got.Time.Sub(time.Date(2007, month, day, n/100, n%100, 0, 0, est)); off.Abs() > 45*time.Second {
			t.Errorf("2007-%02d-%02d: %s at %s, want %s", month, day, e.name, e.got.Time.In(est).Format("15:04:05"), e.want)
		}
	}
}

func TestAtlanta2007(t *testing.T) {
	for _, l := range strings.Split(strings.TrimSpace(atlanta2007), "\n") {
		var m, d int
		var rise, set string
		if _, err := fmt.Sscanf(l, "%d-%d %s %s", &m, &d, &rise, &set); err != nil {
			t.Fatal(err)
		}
		checkAtlanta(t, time.Month(m), d, rise, set)
	}
}

// The whole year from the file that Debian's python3-ephem installs: columns of eleven letters a month.
func TestAtlantaWholeYear(t *testing.T) {
	const path = "/usr/lib/python3/dist-packages/ephem/tests/usno/riset_sun.txt"
	f, err := os.Open(path)
	if err != nil {
		t.Skip("Debian's python3-ephem is not installed; twelve recorded days are tested all the same")
	}
	defer f.Close()
	days := 0
	for s := bufio.NewScanner(f); s.Scan(); {
		l := s.Text()
		day, err := strconv.Atoi(strings.TrimSpace(l[:min(2, len(l))]))
		if err != nil || len(l) < 13 {
			continue
		}
		for m := time.January; m <= time.December; m++ {
			at := 4 + 11*(int(m)-1)
			if at+9 > len(l) || strings.TrimSpace(l[at:at+9]) == "" {
				continue
			}
			checkAtlanta(t, m, day, l[at:at+4], l[at+5:at+9])
			days++
		}
	}
	if days != 365 {
		t.Errorf("%d days were read from the table, want 365", days)
	}
}

func TestAPlaceThatIsNone(t *testing.T) {
	for _, p := range []orb.Point{{math.NaN(), 1}, {1, math.NaN()}, {0, 91}, {math.Inf(1), 0}} {
		d := On(2025, 6, 21, time.UTC, p)
		if d.Rise.OK || d.Set.OK || d.Dawn.OK || d.Dusk.OK || !math.IsNaN(d.NoonAltitude) {
			t.Errorf("at %v the day is %+v, want none", p, d)
		}
		if _, ok := Until(time.Unix(0, 0), p, Civil, 48*time.Hour); ok {
			t.Errorf("at %v the sun sets", p)
		}
	}
}

func TestUntilDark(t *testing.T) {
	noon := time.Date(2025, 6, 21, 12, 0, 0, 0, time.UTC)
	// Dusk of London that day as published: 21:09.
	dark, ok := Until(noon, london, Civil, 24*time.Hour)
	if off := dark.Sub(time.Date(2025, 6, 21, 21, 9, 0, 0, time.UTC)); !ok || off.Abs() > time.Minute {
		t.Errorf("dark at %v (%v), want 21:09", dark, ok)
	}
	if _, ok := Until(noon, london, Civil, time.Hour); ok {
		t.Error("it gets dark within an hour of noon")
	}
	if again, ok := Until(dark.Add(time.Hour), london, Civil, time.Hour); !ok || again != dark.Add(time.Hour) {
		t.Errorf("in the dark Until gives %v, %v, want the time itself", again, ok)
	}
	if _, ok := Until(noon, orb.Point{0, 70}, Civil, 30*24*time.Hour); ok {
		t.Error("it gets dark at 70 N in the month after midsummer")
	}
	if !Dark(dark.Add(time.Minute), london) || Dark(noon, london) {
		t.Error("Dark does not tell day and night")
	}
}

// Whatever the day and place: events lie in the day, the sun passes the altitude there in the right
// direction, twilight holds the day between rise and set, and no rise is missed between a low and a high sun.
func TestDayProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		place := orb.Point{rapid.Float64Range(-180, 180).Draw(t, "lon"), rapid.Float64Range(-85, 85).Draw(t, "lat")}
		zone := time.FixedZone("", 3600*int(math.Round(place[0]/15)))
		doy := rapid.IntRange(0, 365*30).Draw(t, "day")
		from := time.Date(2015, 1, 1+doy, 0, 0, 0, 0, zone)
		to := from.AddDate(0, 0, 1)
		d := On(from.Year(), from.Month(), from.Day(), zone, place)
		for _, e := range []struct {
			name string
			Event
			altitude float64
			up       bool
		}{{"dawn", d.Dawn, Civil, true}, {"rise", d.Rise, Horizon, true}, {"set", d.Set, Horizon, false}, {"dusk", d.Dusk, Civil, false}} {
			if !e.OK {
				continue
			}
			if e.Time.Before(from) || e.Time.After(to) {
				t.Fatalf("%s at %v lies outside the day %v", e.name, e.Time, from)
			}
			a, b := Altitude(e.Time.Add(-time.Second), place), Altitude(e.Time.Add(time.Second), place)
			if e.up && !(a <= e.altitude && b >= e.altitude) || !e.up && !(a >= e.altitude && b <= e.altitude) {
				t.Fatalf("%s at %v: the sun goes from %v to %v degrees", e.name, e.Time, a, b)
			}
		}
		if d.Dawn.OK && d.Rise.OK && d.Rise.Time.Sub(d.Dawn.Time) < 0 && d.Rise.Time.Sub(from) > 4*time.Hour {
			t.Fatalf("the sun rises at %v before dawn at %v", d.Rise.Time, d.Dawn.Time)
		}
		low, high := Altitude(from, place), d.NoonAltitude
		if low < Horizon && high > Horizon && d.Noon.After(from) && d.Noon.Before(to) && !d.Rise.OK {
			t.Fatalf("from %v degrees at the start to %v at noon without a rise", low, high)
		}
	})
}

func ExampleOn() {
	cet := time.FixedZone("CEST", 2*3600)
	day := On(2025, time.June, 21, cet, orb.Point{1.6, 42.55})
	fmt.Println("sun up", day.Rise.Time.Format("15:04"), "lamps on", day.Dusk.Time.Format("15:04"))
	// Output: sun up 06:16 lamps on 22:09
}
