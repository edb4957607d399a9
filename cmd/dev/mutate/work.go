package mutate

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"strconv"
	"strings"
	"sync/atomic"
	"time"
	"unicode"

	"lastroad/app/verbs"
)

// Bounds on one case beyond what the good file of its kind takes: processor time and memory by the size of the copy.
// The seconds are those of this process, so a busy machine makes no finding.
const (
	secondsPerMiB = 2.0
	// One wrong digit makes a route of thousands of kilometres, which are measured and judged like any others.
	secondsPerMm = 0.5      // a thousand kilometres of the judged route
	bytesPerMm   = 25 << 20 // 40 000 samples of the survey, with what hangs on them
	bytesPerByte = 20
	bytesMore    = 64 << 20
)

// Patience is the time by the clock after which a case counts as hanging. A case takes less than a second of work; on
// a busy machine, at a low priority, it may wait many minutes for its turn.
const Patience = 20 * time.Minute

// Outcome is what became of one case.
type Outcome struct {
	Case    int
	Kind    string
	Status  int    // exit status of the verb
	Text    string // what it wrote to standard error
	Finding string // "" when all is as it should be
}

// Kinds are the ways of damaging.
func (g *Good) Kinds() []string {
	var names []string
	for _, k := range g.kinds {
		names = append(names, k.name)
	}
	return names
}

// Copy makes the damaged copy of a case in a folder of its own and gives the arguments that judge it.
func (g *Good) Copy(n int) (dir string, args []string, err error) {
	dir, args, _, _, err = g.copy(n)
	return dir, args, err
}

func (g *Good) copy(n int) (dir string, args []string, k *kind, size int, err error) {
	k = g.kinds[n%len(g.kinds)]
	data, err := k.make(rand.New(rand.NewPCG(uint64(n), 0xda3a6e)))
	if err != nil {
		return "", nil, k, 0, err
	}
	if dir, err = os.MkdirTemp(g.dir, "case"); err != nil {
		return "", nil, k, 0, err
	}
	copy := filepath.Join(dir, k.file)
	return dir, append([]string{"judge", "--samples", "0"}, k.args(copy)...), k, len(data), os.WriteFile(copy, data, 0o644)
}

// Work judges one case in this process.
func (g *Good) Work(ctx context.Context, n int) (Outcome, error) {
	dir, args, k, size, err := g.copy(n)
	if err != nil {
		return Outcome{}, err
	}
	defer os.RemoveAll(dir)
	o := g.judge(ctx, args)
	o.Case, o.Kind = n, k.name
	if o.Finding == "" {
		o.Finding = o.wrong()
	}
	mib := float64(size) / (1 << 20)
	if limit := 4*k.cpu + 1 + secondsPerMiB*mib + secondsPerMm*o.km/1000; g.Watch && o.Finding == "" && o.cpu > limit {
		o.Finding = fmt.Sprintf("takes %.1f s of processor time, at most %.1f are allowed for %.2f MiB", o.cpu, limit, mib)
	}
	if limit := k.heap*3/2 + bytesPerByte*uint64(size) + bytesMore + uint64(bytesPerMm*o.km/1000); g.Watch && o.Finding == "" && o.heap > limit {
		o.Finding = fmt.Sprintf("takes %d MiB, at most %d are allowed for %.2f MiB", o.heap>>20, limit>>20, mib)
	}
	return o.Outcome, nil
}

// Process judges one case by the whole program.
func (g *Good) Process(binary string, n int) (Outcome, error) {
	dir, args, k, _, err := g.copy(n)
	if err != nil {
		return Outcome{}, err
	}
	defer os.RemoveAll(dir)
	ctx, stop := context.WithTimeout(context.Background(), Patience)
	defer stop()
	cmd := exec.CommandContext(ctx, binary, args...)
	cmd.Env = append(os.Environ(), "LASTROAD_CACHE="+filepath.Join(dir, "cache"))
	var bad bytes.Buffer
	cmd.Stderr = &bad
	err = cmd.Run()
	o := Outcome{Case: n, Kind: k.name, Status: cmd.ProcessState.ExitCode(), Text: bad.String()}
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		return o, err
	}
	o.Finding = o.wrong()
	if ctx.Err() != nil {
		o.Finding = "hangs"
	}
	return o, nil
}

// lengthLine is how the judged trip begins.
var lengthLine = regexp.MustCompile(`^[^\n]*: ([0-9.]+) km in \d+ legs?,`)

type measured struct {
	Outcome
	cpu  float64
	heap uint64
	km   float64 // of the judged route
}

// judge runs the verb with an eye on memory, time and panics.
func (g *Good) judge(ctx context.Context, args []string) (o measured) {
	os.Setenv("LASTROAD_CACHE", filepath.Join(g.dir, "cache"))
	defer os.RemoveAll(filepath.Join(g.dir, "cache"))
	ctx, stop := context.WithTimeout(ctx, Patience)
	defer stop()
	var out, bad bytes.Buffer
	runtime.GC()
	var peak atomic.Uint64
	over := make(chan struct{})
	done := make(chan struct{})
	go func() {
		defer close(done)
		s := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
		for {
			metrics.Read(s)
			peak.Store(max(peak.Load(), s[0].Value.Uint64()))
			select {
			case <-over:
				return
			case <-time.After(5 * time.Millisecond):
			}
		}
	}()
	from := processorSeconds()
	func() {
		defer func() {
			if p := recover(); p != nil {
				o.Finding = fmt.Sprintf("crash: %v\n%s", p, debug.Stack())
			}
		}()
		o.Status = verbs.Run(ctx, args, verbs.Streams{Out: &out, Err: &bad}, nil)
	}()
	o.cpu = processorSeconds() - from
	close(over)
	<-done
	o.heap = peak.Load()
	o.Text = bad.String()
	if m := lengthLine.FindSubmatch(out.Bytes()); m != nil {
		o.km, _ = strconv.ParseFloat(string(m[1]), 64)
	}
	if o.Finding == "" && ctx.Err() == context.DeadlineExceeded {
		o.Finding = fmt.Sprintf("hangs: no answer in %v", Patience)
	}
	if o.Finding == "" && o.Status == verbs.Done && !strings.Contains(out.String(), "Planning help, not a promise") {
		o.Finding = "status 0 without a judged trip"
	}
	return o
}

// wrong says what is not as it should be with status and text, "" for nothing.
func (o Outcome) wrong() string {
	text := strings.TrimSuffix(o.Text, "\n")
	switch {
	case o.Status == verbs.Done:
		return ""
	case o.Status != verbs.BadInput:
		return fmt.Sprintf("exit status %d", o.Status)
	case text == "":
		return "a refusal without a word"
	case strings.Contains(text, "\n"):
		return fmt.Sprintf("a refusal of %d lines", 1+strings.Count(text, "\n"))
	case !strings.HasPrefix(text, "lastroad: "):
		return "a refusal that does not say who refuses"
	case len(text) > 500:
		return fmt.Sprintf("a refusal of %d bytes", len(text))
	}
	for _, r := range text {
		if r == unicode.ReplacementChar || !unicode.IsPrint(r) {
			return fmt.Sprintf("a refusal with the unprintable %U", r)
		}
	}
	if found := inside.FindString(text); found != "" {
		return "a refusal that shows the inside of the program: " + found
	}
	return ""
}

// inside are words that only a fault of the program puts into a refusal: those of a crash, and a value in a text that
// had no place for it, such as %!d(string=x).
var inside = regexp.MustCompile(`panic|runtime error|goroutine|%![a-zA-Z]\(|%!\(`)

// measure judges every good file twice, the first time to warm up; it must be judged.
func (g *Good) measure(ctx context.Context) error {
	for _, k := range g.kinds {
		dir := filepath.Join(g.dir, "whole")
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return err
		}
		file := filepath.Join(dir, k.file)
		if err := os.WriteFile(file, k.whole, 0o644); err != nil {
			return err
		}
		good := k.args(file)
		for range 2 {
			o := g.judge(ctx, append([]string{"judge", "--samples", "0"}, good...))
			if o.Status != verbs.Done || o.Finding != "" {
				return fmt.Errorf("the good %s is not judged: %s %s", k.name, o.Text, o.Finding)
			}
			k.cpu, k.heap = o.cpu, o.heap
		}
	}
	return nil
}
