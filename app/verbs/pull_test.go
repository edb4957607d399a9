package verbs

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"lastroad/geo"
	"lastroad/geo/garble"
	"lastroad/risk/recovery"

	"github.com/google/go-cmp/cmp"
)

var updatePull = flag.Bool("update-pull", false, "rewrite the golden text of the pull verb after looking at it")

// full is a kit with which the example holds.
var full = strings.Fields("--mass 2900 --ground mud --depth hub --grade 12 --winch 4310 --rope hmpe:11 --line 28 --distance 12.5 --anchor tree:400 " +
	"--block 8000x2@110 --shackle 4750x4 --soft-shackle 16000x3 --tree-strap 14000:3 --strap 14000:9 --point front:5000 --point tiedown --damper")

func runPull(args ...string) (status int, out, errs string) {
	var o, e bytes.Buffer
	status = Pull(args, &o, &e)
	return status, o.String(), e.String()
}

func pullReport(t *testing.T, args ...string) PullReport {
	t.Helper()
	status, out, errs := runPull(append(args, "--json")...)
	if status != 0 {
		t.Fatalf("pull exits with %d: %s", status, errs)
	}
	var r PullReport
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatalf("the JSON cannot be read back: %v", err)
	}
	return r
}

func TestPullText(t *testing.T) {
	status, out, errs := runPull(full...)
	if status != 0 || errs != "" {
		t.Fatalf("pull exits with %d and says %q, want 0 and nothing", status, errs)
	}
	file := filepath.Join("testdata", "pull.txt")
	if *updatePull {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(out), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), out); d != "" {
		t.Errorf("the text changed (-want +got); look at it, then run with -update-pull:\n%s", d)
	}
	for i, l := range strings.Split(out, "\n") {
		if utf8.RuneCountInString(l) > pullWidth || strings.TrimRight(l, " ") != l {
			t.Errorf("line %d is too wide or ends in blanks: %q", i+1, l)
		}
	}
}

// US Army course handout 63H34F01: 3,000 kg at twice its weight on a winch of 4,310 kg: advantage 2,
// fall line 3,300 kg = 32.36 kN, dead line of two 64.72 kN. A wide drum keeps the rope in one layer.
func TestPullWorkedExample(t *testing.T) {
	r := pullReport(t, "--mass", "3000", "--ground", "mud", "--depth", "hub", "--winch", "4310", "--rope", "hmpe:12", "--line", "30", "--drum", "200x600",
		"--distance", "10", "--block", "10000", "--shackle", "8500x5", "--tree-strap", "mbs:20000:3", "--point", "receiver:6000", "--anchor", "tree:500")
	near := func(name string, got, want float64) {
		if math.Abs(got-want) > 0.005 {
			t.Errorf("%s = %.3f kN, want %.2f", name, got, want)
		}
	}
	near("fall line", r.Working.Tackle.FallLineKN, 32.36)
	near("dead line", r.DeadLines[0].KN, 64.72)
	near("tackle resistance", r.Working.Tackle.LossKN, recovery.KN(600))
	if r.Rig.Key != "one_block" || !r.Holds || r.Schema != 1 {
		t.Errorf("rig %s holds %v (%s), schema %d, want one_block to hold and schema 1", r.Rig.Key, r.Holds, r.Fails, r.Schema)
	}
	if len(r.Diagram.Legs) == 0 || len(r.Cautions) < 10 || r.Digging == nil {
		t.Errorf("the report has %d legs of line, %d cautions and digging %v, want all three", len(r.Diagram.Legs), len(r.Cautions), r.Digging)
	}
}

func TestPullUnits(t *testing.T) {
	for text, want := range map[string]float64{"4310": 42.2667, "4310kg": 42.2667, "42.2667kN": 42.2667, "4.31t": 42.2667, "9500lb": 42.2581, " 9500 LBF ": 42.2581} {
		if got, err := forceKN("winch", text); err != nil || math.Abs(got-want) > 0.0005 {
			t.Errorf("forceKN(%q) = %.4f, %v, want %.4f kN", text, got, err, want)
		}
	}
	for _, text := range []string{"", "x", "-5", "0", "NaN", "Inf", "5 stone", "1e9", "kN"} {
		if got, err := forceKN("winch", text); err == nil {
			t.Errorf("forceKN(%q) = %g kN, want it refused", text, got)
		}
	}
}

func TestPullWords(t *testing.T) {
	kn := recovery.KN
	for _, r := range []struct {
		flag string
		kind recovery.Kind
		text string
		want recovery.Gear
	}{
		{"shackle", recovery.Shackle, "4750x4", recovery.Gear{Kind: recovery.Shackle, Count: 4, WLLKN: kn(4750)}},
		{"shackle", recovery.Shackle, "mbs:28.5t", recovery.Gear{Kind: recovery.Shackle, Count: 1, MBSKN: kn(28500)}},
		{"strap", recovery.Strap, "12000:9", recovery.Gear{Kind: recovery.Strap, Count: 1, MBSKN: kn(12000), LengthM: 9}},
		{"strap", recovery.Strap, "wll:5tx2:9m", recovery.Gear{Kind: recovery.Strap, Count: 2, WLLKN: kn(5000), LengthM: 9}},
		{"block", recovery.Block, "80kNx2@110mm", recovery.Gear{Kind: recovery.Block, Count: 2, WLLKN: 80, SheaveMM: 110}},
		{"shackle", recovery.Shackle, "unknownx2", recovery.Gear{Kind: recovery.Shackle, Count: 2}},
	} {
		got, err := gear(r.flag, r.kind, r.text)
		if err != nil {
			t.Errorf("gear(%q): %v", r.text, err)
		}
		if d := cmp.Diff(r.want, got); d != "" {
			t.Errorf("gear(%q) (-want +got):\n%s", r.text, d)
		}
	}
	for _, r := range []struct {
		text string
		want recovery.Anchor
	}{
		{"tree:400", recovery.Anchor{Kind: recovery.Tree, TrunkMM: 400}},
		{"tree,dead", recovery.Anchor{Kind: recovery.Tree, Dead: true}},
		{"vehicle:3000kg,chocked", recovery.Anchor{Kind: recovery.Vehicle, MassKg: 3000, Ground: geo.Mud, Chocked: true}},
		{"vehicle:3000,ground=gravel,grade=-5", recovery.Anchor{Kind: recovery.Vehicle, MassKg: 3000, Ground: geo.Gravel, Grade: -0.05}},
		{"pickets:loam,set=3-2-1", recovery.Anchor{Kind: recovery.Pickets, Soil: "loam", Picket: "3-2-1"}},
		{"ground-anchor:2000,soil=sand", recovery.Anchor{Kind: recovery.EarthHook, WLLKN: kn(2000), Soil: "sand"}},
		{"deadman:loam,depth=1.2m,slope=1:2,face=0.25,length=1.5,log", recovery.Anchor{Kind: recovery.Deadman, Soil: "loam", DepthM: 1.2, Slope: 0.5, FaceM: 0.25, LengthM: 1.5, Log: true}},
	} {
		got, err := anchor("anchor", r.text, geo.Mud)
		if err != nil {
			t.Errorf("anchor(%q): %v", r.text, err)
		}
		if d := cmp.Diff(r.want, got); d != "" {
			t.Errorf("anchor(%q) (-want +got):\n%s", r.text, d)
		}
	}
	for text, want := range map[string]recovery.Gear{
		"front:5000":         {Kind: recovery.FramePoint, Count: 1, Place: "front", WLLKN: kn(5000)},
		"receiver:rear:4500": {Kind: recovery.Receiver, Count: 1, Place: "rear", WLLKN: kn(4500)},
		"tiedown":            {Kind: recovery.TieDown, Count: 1},
		"towball:3500":       {Kind: recovery.TowBall, Count: 1, WLLKN: kn(3500)},
	} {
		if got, err := point(text); err != nil || cmp.Diff(want, got) != "" {
			t.Errorf("point(%q) = %+v, %v, want %+v", text, got, err, want)
		}
	}
}

// Bad input gives status 2, nothing on standard output, and one line that names the flag.
func TestPullBadInput(t *testing.T) {
	base := []string{"--mass", "2900", "--ground", "mud"}
	winch := append(slices.Clone(base), "--winch", "4310", "--rope", "hmpe:10", "--line", "26")
	for _, r := range []struct {
		name string
		args []string
		want string
	}{
		{"nothing", nil, "--mass"},
		{"a 900 t car", []string{"--mass", "900000"}, "mass: 900000 kg is outside 200 to 40000 kg"},
		{"negative mass", []string{"--mass=-5"}, "mass: -5 kg is outside"},
		{"no number", []string{"--mass", "NaN"}, "mass: is not a number"},
		{"text for a number", []string{"--mass", "heavy"}, "heavy"},
		{"odd ground", []string{"--mass", "2900", "--ground", "lava"}, "lava"},
		{"odd depth", []string{"--mass", "2900", "--depth", "roof"}, "roof"},
		{"a wall", []string{"--mass", "2900", "--grade", "300"}, "grade: 3 "},
		{"winch without rope", append(slices.Clone(base), "--winch", "4310"), "its rope is not given"},
		{"0 mm rope", append(slices.Clone(base), "--winch", "4310", "--rope", "hmpe:0", "--line", "26"), "rope diameter: 0 mm is outside 3 to 40 mm"},
		{"hemp rope", append(slices.Clone(base), "--winch", "4310", "--rope", "hemp:20", "--line", "26"), `"hemp" is not a rope material`},
		{"rope without winch", append(slices.Clone(base), "--rope", "hmpe:10"), "without a winch"},
		{"odd force", append(slices.Clone(winch), "--shackle", "big"), "--shackle big: is not a force"},
		{"odd count", append(slices.Clone(winch), "--shackle", "4750x0"), "number of pieces"},
		{"odd anchor", append(slices.Clone(winch), "--anchor", "cloud"), `"cloud" is not a kind of anchor`},
		{"odd word of an anchor", append(slices.Clone(winch), "--anchor", "tree:400,green"), `"green" is not said of an anchor`},
		{"odd drum", append(slices.Clone(winch), "--drum", "64"), "is not a drum"},
		{"odd tackle", append(slices.Clone(winch), "--tackle", "magic:1"), "is not a rule"},
		{"unknown flag", append(slices.Clone(winch), "--colour", "red"), "--colour"},
		{"loose word", append(slices.Clone(winch), "now"), "now"},
	} {
		t.Run(r.name, func(t *testing.T) {
			status, out, errs := runPull(r.args...)
			if status != 2 || out != "" || strings.Count(errs, "\n") != 1 || !strings.Contains(errs, r.want) {
				t.Errorf("status %d, output %q, error %q, want 2, nothing, and one line with %q", status, out, errs, r.want)
			}
		})
	}
}

func TestPullExitStatus(t *testing.T) {
	bare := strings.Fields("--mass 2900 --ground mud --depth body --winch 4310 --rope hmpe:10 --line 26")
	for _, r := range []struct {
		name string
		args []string
		want int
	}{
		{"downhill, written with a blank", []string{"--mass", "2900", "--grade", "-5"}, 0}, {"holds", full, 0}, {"holds, asked to fail", append(slices.Clone(full), "--fail"), 0},
		{"does not hold", bare, 0}, {"does not hold, asked to fail", append(slices.Clone(bare), "--fail"), 1}, {"help", []string{"--help"}, 0},
	} {
		if status, out, errs := runPull(r.args...); status != r.want || out == "" || errs != "" {
			t.Errorf("%s: status %d, %d bytes, error %q, want status %d and a text", r.name, status, len(out), errs, r.want)
		}
	}
}

// What is asked for without a rating is named, and a missing one is never assumed.
func TestPullAsksForRatings(t *testing.T) {
	args := slices.Clone(full)
	args[slices.Index(args, "8000x2@110")] = "unknownx2@110"
	_, out, _ := runPull(args...)
	for _, want := range []string{"DOES NOT HOLD", "no block with a known rating", "Not used: block. No readable rating"} {
		if !strings.Contains(strings.Join(strings.Fields(out), " "), want) {
			t.Errorf("the text lacks %q:\n%s", want, out)
		}
	}
	_, out, _ = runPull(append(slices.Clone(full), "--sources")...)
	if !strings.Contains(out, "[FM 4-30.31") {
		t.Error("--sources names no source")
	}
}

func FuzzPull(f *testing.F) {
	for _, s := range []string{strings.Join(full, " "), "--mass 1 --anchor deadman:loam,depth=1", "--mass 2000 --winch 1x2 --rope steel:9:9 --line 30 --block @", "--mass 2000 --point front:rear:bolted:x", "--mass 2000 --turn 90:8:tree --tackle efficiency:2"} {
		f.Add(s)
	}
	for _, b := range garble.Copies(200, true, []byte(strings.Join(full, " "))) {
		f.Add(string(b))
	}
	f.Fuzz(func(t *testing.T, s string) {
		args := strings.Fields(s)
		if status, out, errs := runPull(args...); status == 2 && (out != "" || strings.Count(errs, "\n") != 1) || status != 0 && status != 1 && status != 2 {
			t.Errorf("pull %q: status %d, output %d bytes, error %q", s, status, len(out), errs)
		}
	})
}

func ExamplePull() {
	Pull(strings.Fields("--mass 900000"), os.Stdout, os.Stdout)
	// Output: lastroad: pull: mass: 900000 kg is outside 200 to 40000 kg
}

// A block bears nothing without its rating, so a number of blocks alone is no answer: the rating is asked for.
func TestPullBlocksAskForTheirRating(t *testing.T) {
	base := strings.Fields("--mass 3000 --ground mud --depth hub --winch 4310 --rope hmpe:12 --line 30 --anchor tree:500 --tree-strap 20000:3 --shackle 8500x5 --point front:6000")
	status, out, errs := runPull(append(base, "--blocks", "2")...)
	if status != 2 || out != "" || !strings.Contains(errs, "--block 8000 --blocks 2") || !strings.Contains(errs, "bears nothing") {
		t.Errorf("blocks without a rating exit with %d and say %q, want 2 and how to give the rating", status, errs)
	}
	r := pullReport(t, append(base, "--block", "10000", "--blocks", "2")...)
	if r.Rig.Advantage < 2 {
		t.Errorf("with two rated blocks the rig is %s, want one that uses a block", r.Rig.Key)
	}
	// A stamp that cannot be read is said so in the working and is never counted on.
	r = pullReport(t, append(base, "--block", "unknown", "--blocks", "2")...)
	if r.Holds {
		t.Error("a rig holds although its blocks have no rating")
	}
	if !slices.ContainsFunc(r.LeftOut, func(l recovery.LeftOut) bool { return strings.Contains(l.Reason, "no readable rating") }) {
		t.Errorf("the working leaves out %v, want the block for its missing rating", r.LeftOut)
	}
}
