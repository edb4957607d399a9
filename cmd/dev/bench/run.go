package bench

import (
	"bytes"
	"embed"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"time"
)

// Packages are Debian's names of the peers and of what compiling them takes.
var Packages = []string{"g++", "gcc", "zlib1g-dev", "libexpat1-dev", "libbz2-dev", "libosmium2-dev", "osmium-tool", "libgeos-dev", "grass-core", "gdal-bin", "python3-numpy", "python3-scipy"}

//go:embed peers/*
var peers embed.FS

// lab is one run: where it works and what it has found.
type lab struct {
	top    string // the project's folder
	dir    string // for files of this run
	rounds int
	rows   []row
	only   string // comparisons whose name holds this; "" = all
	out    func(format string, a ...any)
}

// Run measures everything that can be measured here. args: --write puts the table into the README, --rounds N (5)
// sets how many rounds there are, --only WORD takes the comparisons whose name holds WORD, --no-go leaves the
// benchmarks of the packages out.
func Run(top string, args []string) error {
	l := &lab{top: top, rounds: 5, out: func(f string, a ...any) { fmt.Printf(f+"\n", a...) }}
	write, goToo := false, true
	for i := 0; i < len(args); i++ {
		switch a := args[i]; {
		case a == "--write":
			write = true
		case a == "--no-go":
			goToo = false
		case a == "--rounds" && i+1 < len(args):
			i++
			n, err := strconv.Atoi(args[i])
			if err != nil || n < 1 || n > 100 {
				return fmt.Errorf("--rounds takes a number from 1 to 100, not %q", args[i])
			}
			l.rounds = n
		case a == "--only" && i+1 < len(args):
			i++
			l.only = args[i]
		default:
			return fmt.Errorf("%q is not an option; use --write, --rounds N, --only WORD, --no-go", a)
		}
	}
	if write && (l.only != "" || !goToo) {
		return fmt.Errorf("--write needs the whole run, without --only and --no-go")
	}
	var err error
	if l.dir, err = os.MkdirTemp("", "bench"); err != nil {
		return err
	}
	defer os.RemoveAll(l.dir)
	start := time.Now()
	before := load()
	for _, c := range []struct {
		name string
		do   func() error
	}{
		{"roads", l.roads}, {"region", l.region}, {"nearest", l.nearest}, {"build", l.flatbush},
		{"heights", l.heights}, {"posts", l.posts}, {"walk", l.walk}, {"draws", l.draws},
	} {
		if !strings.Contains(c.name, l.only) {
			continue
		}
		l.out("== %s", c.name)
		if err := c.do(); err != nil {
			return fmt.Errorf("%s: %w", c.name, err)
		}
	}
	keep := filepath.Join(top, ".bench")
	if goToo && (l.only == "" || l.only == "go") {
		if err := os.MkdirAll(keep, 0o755); err != nil {
			return err
		}
		if err := l.goBenchmarks(filepath.Join(keep, "go.txt")); err != nil {
			return err
		}
	}
	machine := fmt.Sprintf("%s, %s, medians of %d rounds, %.0f min in all; load of the machine at the start %s, at the end %s.",
		time.Now().UTC().Format("2 January 2006"), machineText(), l.rounds, time.Since(start).Minutes(), before, load())
	table := markdown(l.rows, machine)
	l.out("\n%s", table)
	if l.only != "" || !goToo {
		return nil
	}
	if err := os.WriteFile(filepath.Join(keep, "table.md"), []byte(table), 0o644); err != nil {
		return err
	}
	if !write {
		return nil
	}
	file := filepath.Join(top, "README.md")
	text, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	now, err := quote(string(text), table)
	if err != nil {
		return fmt.Errorf("README.md: %w", err)
	}
	return os.WriteFile(file, []byte(now), 0o644)
}

// machineText names processor, cores and Go.
func machineText() string {
	cpu := "unknown processor"
	if data, err := os.ReadFile("/proc/cpuinfo"); err == nil {
		for line := range strings.Lines(string(data)) {
			if k, v, ok := strings.Cut(line, ":"); ok && strings.TrimSpace(k) == "model name" {
				cpu = strings.TrimSpace(v)
				break
			}
		}
	}
	return fmt.Sprintf("%s with %d cores, %s %s/%s", cpu, runtime.NumCPU(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
}

// load is how many programs wanted a core in the last minute.
func load() string {
	data, err := os.ReadFile("/proc/loadavg")
	if err != nil {
		return "unknown"
	}
	return strings.Fields(string(data))[0]
}

// version is that of an installed Debian package, without what Debian adds.
func version(pkg string) string {
	out, err := exec.Command("dpkg-query", "-W", "-f", "${Version}", pkg).Output()
	if err != nil {
		return ""
	}
	v := string(out)
	if _, after, ok := strings.Cut(v, ":"); ok {
		v = after
	}
	v, _, _ = strings.Cut(v, "-")
	v, _, _ = strings.Cut(v, "+")
	return v
}

func (l *lab) file(name string) string { return filepath.Join(l.dir, name) }

// peer writes an embedded source to disk and gives its path.
func (l *lab) peer(name string) (string, error) {
	data, err := peers.ReadFile("peers/" + name)
	if err != nil {
		panic("bench: no source " + name)
	}
	return l.file(name), os.WriteFile(l.file(name), data, 0o644)
}

// compile makes a program of an embedded source; missing says why it cannot be.
func (l *lab) compile(name, compiler string, flags ...string) (binary, missing string) {
	if _, err := exec.LookPath(compiler); err != nil {
		return "", compiler + " is not installed"
	}
	src, err := l.peer(name)
	if err != nil {
		return "", err.Error()
	}
	binary = src + ".bin"
	if out, err := exec.Command(compiler, append([]string{"-O3", "-DNDEBUG", "-march=native", "-o", binary, src}, flags...)...).CombinedOutput(); err != nil {
		return "", "it does not compile here: " + firstLine(out, err)
	}
	return binary, ""
}

func firstLine(out []byte, err error) string {
	line, _, _ := strings.Cut(strings.TrimSpace(string(out)), "\n")
	if line == "" {
		return err.Error()
	}
	return line
}

// numbers runs a peer and reads the numbers that it prints.
func numbers(n int, name string, args ...string) ([]float64, error) {
	cmd := exec.Command(name, args...)
	var bad bytes.Buffer
	cmd.Stderr = &bad
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("%s: %s", filepath.Base(name), firstLine(bad.Bytes(), err))
	}
	f := strings.Fields(string(out))
	if len(f) != n {
		return nil, fmt.Errorf("%s printed %d numbers, want %d: %s", filepath.Base(name), len(f), n, firstLine(out, nil))
	}
	v := make([]float64, n)
	for i := range f {
		if v[i], err = strconv.ParseFloat(f[i], 64); err != nil {
			return nil, err
		}
	}
	return v, nil
}

// oneCore runs f on one core, as the peer runs, and gives the seconds it took.
func oneCore(f func()) float64 {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	return seconds(f)
}

func seconds(f func()) float64 {
	runtime.GC()
	start := time.Now()
	f()
	return time.Since(start).Seconds()
}

// whole runs a program from start to end: seconds and the most memory it held, in MB.
func whole(name string, args ...string) (s, mb float64, out []byte, err error) {
	cmd := exec.Command(name, args...)
	var bad, good bytes.Buffer
	cmd.Stdout, cmd.Stderr = &good, &bad
	start := time.Now()
	if err := cmd.Run(); err != nil {
		return 0, 0, nil, fmt.Errorf("%s: %s", filepath.Base(name), firstLine(bad.Bytes(), err))
	}
	return time.Since(start).Seconds(), peakMB(cmd.ProcessState), good.Bytes(), nil
}

// writeFloats keeps numbers as the peers read them.
func writeFloats[T float32 | float64](file string, v []T) error {
	var b bytes.Buffer
	if err := binary.Write(&b, binary.LittleEndian, v); err != nil {
		return err
	}
	return os.WriteFile(file, b.Bytes(), 0o644)
}

func readFloats[T float32 | float64](file string, n int) ([]T, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	v := make([]T, n)
	if binary.Size(v) != len(data) {
		return nil, fmt.Errorf("%s holds %d bytes, want %d", filepath.Base(file), len(data), binary.Size(v))
	}
	return v, binary.Read(bytes.NewReader(data), binary.LittleEndian, v)
}

// skip keeps a row that could not be measured.
func (l *lab) skip(work, who, why string) error {
	l.out("   %s: passed over, %s", who, why)
	l.rows = append(l.rows, row{work: work, who: who, why: why, ours: math.NaN(), peer: math.NaN()})
	return nil
}

func (l *lab) add(r row) {
	l.out("   %s: %s beside %s %s (%s), ratio %s; %s", r.work, figure(r.ours), figure(r.peer), r.unit, r.who, figure(r.ratio()), r.check)
	l.rows = append(l.rows, r)
}

// python is the system's own python3, which sees the Debian packages, whatever stands first in PATH.
func python() string {
	if _, err := os.Stat("/usr/bin/python3"); err == nil {
		return "/usr/bin/python3"
	}
	return "python3"
}
