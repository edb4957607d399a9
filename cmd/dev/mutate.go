package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"lastroad/cmd/dev/mutate"
)

// judgeDamaged judges N (10000) damaged copies of good files in child processes of this program, every fiftieth also
// by the program itself; --only K looks at case K alone and keeps its copy.
func judgeDamaged(args []string) error {
	top, err := root()
	if err != nil {
		return err
	}
	if len(args) == 3 && args[0] == "--worker" {
		return worker(args[1], args[2], top)
	}
	if len(args) == 2 && args[0] == "--only" {
		return oneCase(args[1], top)
	}
	n := 10_000
	if len(args) > 0 {
		if n, err = strconv.Atoi(args[0]); err != nil || n < 1 || n > 10_000_000 || len(args) > 1 {
			return fmt.Errorf("mutate takes how many copies are made, or --only and the number of a case")
		}
	}
	if err := os.Chdir(top); err != nil {
		return err
	}
	self, err := os.Executable()
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	binary := filepath.Join(dir, "lastroad")
	if err := step("build without a window", []string{"CGO_ENABLED=0"}, "go", "build", "-trimpath", "-o", binary, "./cmd/lastroad"); err != nil {
		return err
	}
	start := time.Now()
	m := &mutation{self: self, total: n, step: max(1, n/200), byKind: map[string][2]int{}}
	children := min(runtime.NumCPU(), 4)
	var wg sync.WaitGroup
	fails := make([]error, children)
	for c := range children {
		from, to := n*c/children, n*(c+1)/children
		wg.Go(func() { fails[c] = m.children(from, to) })
	}
	wg.Wait()
	if err := errors.Join(fails...); err != nil {
		return err
	}
	whole, err := m.wholeProcesses(binary, dir, sharedFolder(top))
	if err != nil {
		return err
	}
	fmt.Printf("\n%d damaged copies in %.0f s, %d of them also by the whole program:\n", n, time.Since(start).Seconds(), whole)
	for _, k := range m.kinds() {
		fmt.Printf("   %-24s %6d refused, %6d judged\n", k, m.byKind[k][0], m.byKind[k][1])
	}
	if len(m.findings) > 0 {
		return fmt.Errorf("%d findings", len(m.findings))
	}
	fmt.Println("   no crash, no hang, every refusal one line with exit status 2")
	return nil
}

// sharedFolder is where the open data for tests lie.
func sharedFolder(top string) string {
	if d := os.Getenv("LASTROAD_SHARED"); d != "" {
		return d
	}
	return filepath.Join(filepath.Dir(top), "shared")
}

// mutation gathers what the children tell.
type mutation struct {
	self        string
	total, step int
	mu          sync.Mutex
	done        int
	findings    []string
	byKind      map[string][2]int // refused, judged
}

func (m *mutation) kinds() []string {
	var names []string
	for k := range m.byKind {
		names = append(names, k)
	}
	slices.Sort(names)
	return names
}

func (m *mutation) found(n int, text string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.findings = append(m.findings, text)
	fmt.Printf("   FINDING in case %d: %s\n", n, text)
}

// children runs cases from up to, not including, to; a child that dies has crashed on its last case, and another one
// goes on behind it.
func (m *mutation) children(from, to int) error {
	for from < to {
		ctx, stop := context.WithCancel(context.Background())
		cmd := exec.CommandContext(ctx, m.self, "mutate", "--worker", strconv.Itoa(from), strconv.Itoa(to))
		var bad strings.Builder
		cmd.Stderr = &bad
		pipe, err := cmd.StdoutPipe()
		if err != nil {
			stop()
			return err
		}
		if err := cmd.Start(); err != nil {
			stop()
			return err
		}
		// The worker itself gives up a case that hangs; one that cannot even do that says nothing. Before the first case
		// it measures the good files.
		const silent = mutate.Patience + 5*time.Minute
		silence := time.AfterFunc(silent+10*time.Minute, stop)
		first := from
		lines := bufio.NewScanner(pipe)
		lines.Buffer(nil, 4<<20)
		for lines.Scan() {
			silence.Reset(silent)
			var o mutate.Outcome
			if err := json.Unmarshal(lines.Bytes(), &o); err != nil {
				continue
			}
			from = o.Case + 1
			m.tell(o)
		}
		silence.Stop()
		err = cmd.Wait()
		hung := ctx.Err() != nil
		stop()
		if from >= to {
			return nil
		}
		if err == nil {
			return fmt.Errorf("a child ended before its work was done, at case %d", from)
		}
		if first == from && strings.HasPrefix(bad.String(), "dev: ") {
			return fmt.Errorf("case %d: %s", from, bad.String())
		}
		word := "crash of the whole process"
		if hung {
			word = fmt.Sprintf("no answer for %v", silent)
		}
		m.found(from, word+": "+string(tail([]byte(bad.String()), 3000)))
		from++
	}
	return nil
}

func (m *mutation) tell(o mutate.Outcome) {
	if o.Finding != "" {
		m.found(o.Case, fmt.Sprintf("%s: %s: %s", o.Kind, o.Finding, o.Text))
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	c := m.byKind[o.Kind]
	if o.Status == 0 {
		c[1]++
	} else {
		c[0]++
	}
	m.byKind[o.Kind] = c
	if m.done++; m.done%max(1, m.total/20) == 0 {
		fmt.Printf("   %d of %d\n", m.done, m.total)
	}
}

// wholeProcesses judges some of the copies by the program itself and looks at its exit status and words.
func (m *mutation) wholeProcesses(binary, dir, shared string) (int, error) {
	g, err := mutate.NewGood(context.Background(), dir, shared)
	if err != nil {
		return 0, err
	}
	n := 0
	// An odd stride meets every kind in turn.
	for i := 0; i < m.total; i += m.step | 1 {
		o, err := g.Process(binary, i)
		if err != nil {
			return n, err
		}
		if n++; o.Finding != "" {
			m.found(i, fmt.Sprintf("whole program, %s: %s: %s", o.Kind, o.Finding, o.Text))
		}
	}
	return n, nil
}

// worker is a child: one line of JSON a case.
func worker(from, to, top string) error {
	a, err := strconv.Atoi(from)
	if err != nil {
		return err
	}
	b, err := strconv.Atoi(to)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	g, err := mutate.NewGood(context.Background(), dir, sharedFolder(top))
	if err != nil {
		return err
	}
	g.Watch = true
	out := json.NewEncoder(os.Stdout)
	for i := a; i < b; i++ {
		o, err := g.Work(context.Background(), i)
		if err != nil {
			return err
		}
		if err := out.Encode(o); err != nil {
			return err
		}
	}
	return nil
}

// oneCase shows one case and leaves its copy where it can be looked at.
func oneCase(number, top string) error {
	n, err := strconv.Atoi(number)
	if err != nil || n < 0 {
		return fmt.Errorf("%q is not the number of a case", number)
	}
	dir, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return err
	}
	g, err := mutate.NewGood(context.Background(), dir, sharedFolder(top))
	if err != nil {
		return err
	}
	g.Watch = true
	_, args, err := g.Copy(n)
	if err != nil {
		return err
	}
	fmt.Println("lastroad", strings.Join(args, " "))
	o, err := g.Work(context.Background(), n)
	fmt.Printf("%s: exit status %d: %s\nfinding: %s\n", o.Kind, o.Status, o.Text, o.Finding)
	return err
}
