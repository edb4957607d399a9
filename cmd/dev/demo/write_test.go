package demo

import (
	"bytes"
	"math"
	"testing"

	"lastroad/assets"
)

// The trip must stay the three-day loop that the demo is meant to be, whatever is edited in the tables.
func TestLineIsALoopOfTheRightLength(t *testing.T) {
	line := build().line()
	km := 0.0
	for i := 1; i < len(line); i++ {
		d := math.Hypot(line[i].x-line[i-1].x, line[i].y-line[i-1].y)
		if d > 0.25 {
			t.Errorf("points %d and %d of the line are %.0f m apart, want at most 250 m: two ways do not meet", i-1, i, d*1000)
		}
		km += d
	}
	if km < 180 || km > 250 {
		t.Errorf("the demo route is %.1f km long, want 180 to 250 km", km)
	}
	first, last := line[0], line[len(line)-1]
	if d := math.Hypot(first.x-last.x, first.y-last.y); d > 0.05 {
		t.Errorf("the loop ends %.0f m from its start, want 50 m or less", d*1000)
	}
	t.Logf("%.1f km, %d points", km, len(line))
}

// Heights must fit the tile format and the passes must be drivable in the mean.
func TestGroundIsPlausible(t *testing.T) {
	for x := 0.5; x < kmPerLon; x += 3 {
		for y := 0.5; y < kmPerLat; y += 3 {
			if h := height(xy{x, y}); math.IsNaN(h) || h < 0 || h > 3000 {
				t.Fatalf("height at %.1f, %.1f km is %.0f m, want 0 to 3000 m", x, y, h)
			}
		}
	}
	line := build().line()
	worst := 0.0
	for i := range line {
		j := i
		d := 0.0
		for j+1 < len(line) && d < 0.3 {
			d += math.Hypot(line[j+1].x-line[j].x, line[j+1].y-line[j].y)
			j++
		}
		if d < 0.3 {
			break
		}
		worst = math.Max(worst, math.Abs(height(line[j])-height(line[i]))/(d*1000))
	}
	if worst > 0.45 {
		t.Errorf("the steepest 300 m of the route rise %.0f %%, want at most 45 %%", worst*100)
	}
	t.Logf("steepest 300 m: %.1f %%", worst*100)
}

// The committed files are what the generator makes: an edit here without "go run ./cmd/dev demo" is caught.
func TestCommittedFilesAreCurrent(t *testing.T) {
	for name, want := range Files() {
		if !bytes.Equal(assets.Demo(name), want) {
			t.Errorf("assets/demo/%s is not what the generator makes; run go run ./cmd/dev demo", name)
		}
	}
}
