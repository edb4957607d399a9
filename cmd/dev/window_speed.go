package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"time"

	"github.com/paulmach/orb"

	"lastroad/app/trip"
)

// What the window is held to.
const (
	goalStart  = time.Second // window with judged demo on the screen, two cores
	goalFrames = 60.0        // a second, while the map is dragged and zoomed
	goalBytes  = 300 << 20   // with a file of the size of Delaware's open
)

// windowSpeed measures starts, frames and memory of the window on a virtual screen and prints them beside what
// they are held to, and frames beside those of a bare window of the same toolkit at the same moment. It judges nothing:
// a busy machine is no fault of the program. watched is a build that can open the bare window.
func windowSpeed(binary, watched string) error {
	fmt.Println("\n== speed and memory of the window")
	s, err := newScreen(1280, 800)
	if err != nil {
		return err
	}
	defer s.close()
	home, err := os.MkdirTemp("", "lastroad-home")
	if err != nil {
		return err
	}
	defer os.RemoveAll(home)
	if err := startTimes(s, binary, home); err != nil {
		return err
	}

	region := filepath.Join(moduleDir("github.com/paulmach/osm"), "testdata", "delaware-latest.osm.pbf")
	if _, err := os.Stat(region); err != nil {
		return errors.Join(errors.New("the region file that a module carries is not at hand"), err)
	}
	route := filepath.Join(home, "route.gpx")
	segments, err := routeThrough(region, route)
	if err != nil {
		return err
	}
	w, err := s.watch(binary, filepath.Join(home, "region"), route, region)
	if err != nil {
		return err
	}
	defer w.crash()
	if _, err := w.says(settled); err != nil {
		return err
	}
	time.Sleep(3 * time.Second)
	rss, peak := w.memory()
	fmt.Printf("   memory with %d segments of ways open: %d MB at rest, %d MB at most while opening, %.2f and %.2f of the goal\n",
		segments, rss>>20, peak>>20, float64(rss)/goalBytes, float64(peak)/goalBytes)
	for _, m := range []struct {
		name string
		args []string
	}{{"dragging the map", drag(450, 300)}, {"zooming the map", []string{"mousemove", "450", "300", "click", "--repeat", "60", "--delay", "8", "4", "click", "--repeat", "60", "--delay", "8", "5"}}} {
		w.rest()
		if err := s.do(m.args...); err != nil {
			return err
		}
		got, err := w.frames()
		if err != nil {
			return err
		}
		bare, err := s.bareFrames(watched, filepath.Join(home, "bare"), "1")
		if err != nil {
			return err
		}
		moved, err := s.bareFrames(watched, filepath.Join(home, "bare"), "picture")
		if err != nil {
			return err
		}
		fmt.Printf("   %s: %.0f frames, %.1f a second, %.2f of the goal; a frame stands %.1f ms in the middle, 95 of 100 at most %.1f, 99 at most %.1f, one %.1f; %.0f over 25 ms\n",
			m.name, got["n"], got["fps"], got["fps"]/goalFrames, got["median"], got["p95"], got["p99"], got["max"], got["late"])
		fmt.Printf("      a bare window right after: %.1f a second, so this machine and screen allow at most %.2f of the goal; ours are %.2f of the bare window's\n",
			bare["fps"], min(1, bare["fps"]/goalFrames), got["fps"]/bare["fps"])
		fmt.Printf("      one with a picture as large as map and strip, only moved: %.1f a second, %.1f ms of processor time a frame in all: what a moving map takes at least\n",
			moved["fps"], moved["all"])
		fmt.Printf("      processor time a frame: %.1f ms on the window's thread, of it %.1f for drawing our pictures (bare: %.1f); %.1f ms in all (bare: %.1f, the painting of the screen)\n",
			got["thread"], got["ours"], bare["thread"], got["all"], bare["all"])
	}
	rss, peak = w.memory()
	fmt.Printf("   memory after that: %d MB, at most %d MB\n", rss>>20, peak>>20)
	return nil
}

// startTimes measures ten first starts of a user, for whom the graphics driver has to compile its shaders, and after each
// a second one, for which it finds them in its cache.
func startTimes(s *screen, binary, home string) error {
	var starts [2][]time.Duration
	for i := range 10 {
		user := filepath.Join(home, strconv.Itoa(i))
		for k := range starts {
			if err := os.RemoveAll(filepath.Join(user, "state")); err != nil { // what the start before left open
				return err
			}
			at := time.Now()
			w, err := s.watch(binary, user)
			if err != nil {
				return err
			}
			_, err = w.says("^shown")
			starts[k] = append(starts[k], time.Since(at))
			w.crash()
			if err != nil {
				return err
			}
		}
	}
	for k, what := range [...]string{"first start of a user", "start"} {
		t := starts[k]
		sort.Slice(t, func(i, k int) bool { return t[i] < t[k] })
		median := (t[4] + t[5]) / 2
		fmt.Printf("   from a %s to the judged demo on the screen: median %.2f s of 10 (%.2f to %.2f), %.2f of the goal\n",
			what, median.Seconds(), t[0].Seconds(), t[9].Seconds(), median.Seconds()/goalStart.Seconds())
	}
	return nil
}

// frames waits for what the window says of a movement: figures by name, times in milliseconds.
func (w *watched) frames() (map[string]float64, error) {
	got, err := w.says(`^frames (.*)$`)
	if err != nil {
		return nil, err
	}
	out := map[string]float64{}
	for _, f := range strings.Fields(got[1]) {
		name, v, _ := strings.Cut(f, "=")
		if out[name], err = strconv.ParseFloat(v, 64); err != nil {
			return nil, fmt.Errorf("frames: %q is no figure", f)
		}
	}
	return out, nil
}

// bareFrames are the frames of a window with nothing in it ("1") or with one moved picture ("picture"): what toolkit,
// screen and machine allow at this moment.
func (s *screen) bareFrames(watched, home, how string) (map[string]float64, error) {
	os.Setenv("LASTROAD_BARE", how)
	defer os.Unsetenv("LASTROAD_BARE")
	w, err := s.watch(watched, home)
	if err != nil {
		return nil, err
	}
	defer w.crash()
	return w.frames()
}

// drag is a long drag to and fro about a place, a motion every 8 ms.
func drag(x, y int) []string {
	to := func(i int) []string {
		return []string{"mousemove", strconv.Itoa(x - 100 + i), strconv.Itoa(y - 50 + i/2), "sleep", "0.008"}
	}
	args := append(to(0), "mousedown", "1")
	for range 5 {
		for i := 0; i <= 200; i += 4 {
			args = append(args, to(i)...)
		}
		for i := 200; i >= 0; i -= 4 {
			args = append(args, to(i)...)
		}
	}
	return append(args, "mouseup", "1")
}

// memory is what the window holds in memory now and held at most, in bytes.
func (w *watched) memory() (rss, peak int64) {
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", w.cmd.Process.Pid))
	if err != nil {
		return 0, 0
	}
	for _, line := range strings.Split(string(data), "\n") {
		var kb int64
		if n, _ := fmt.Sscanf(line, "VmRSS: %d", &kb); n == 1 {
			rss = kb << 10
		}
		if n, _ := fmt.Sscanf(line, "VmHWM: %d", &kb); n == 1 {
			peak = kb << 10
		}
	}
	return rss, peak
}

// routeThrough writes a route that follows the ways of a region of Delaware from its north end to its south
// end, and gives the number of segments of ways that a trip on it holds.
func routeThrough(region, file string) (segments int, err error) {
	places := []orb.Point{{-75.56, 39.74}, {-75.75, 39.45}, {-75.70, 38.99}, {-75.57, 38.65}, {-75.40, 38.90}, {-75.10, 38.47}}
	write := func(line orb.LineString) error {
		var b bytes.Buffer
		b.WriteString(`<gpx version="1.1"><trk><name>From end to end</name><trkseg>` + "\n")
		for _, p := range line {
			fmt.Fprintf(&b, "<trkpt lat=\"%.7f\" lon=\"%.7f\"/>\n", p[1], p[0])
		}
		b.WriteString("</trkseg></trk></gpx>\n")
		return os.WriteFile(file, b.Bytes(), 0o644)
	}
	if err := write(places); err != nil {
		return 0, err
	}
	cache, err := os.MkdirTemp("", "lastroad-cache")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(cache)
	os.Setenv("LASTROAD_CACHE", cache)
	defer os.Unsetenv("LASTROAD_CACHE")
	desk, err := trip.NewDesk()
	if err != nil {
		return 0, err
	}
	doc, err := desk.Open(context.Background(), nil, []string{file, region}, nil)
	if err != nil {
		return 0, err
	}
	for i := range doc.Region.Ways {
		segments += len(doc.Region.Ways[i].Line) - 1
	}
	line := desk.Trace(doc, places, true, 3000)
	if len(line.Line) < 100 {
		return 0, fmt.Errorf("no ways lead through %s", filepath.Base(region))
	}
	return segments, write(line.Line)
}

// moduleDir is where a module of the build lies.
func moduleDir(module string) string {
	out, err := quiet(nil, "go", "list", "-m", "-f", "{{.Dir}}", module)
	if err != nil {
		return ""
	}
	return strings.TrimSpace(out)
}
