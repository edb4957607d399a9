package main

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"time"
)

// verbArgs are the arguments by which every verb is tried; OUT stands for a folder to write to, REGION for a region
// file. A verb that is missing here fails the test.
var verbArgs = map[string][]string{
	"judge":       {"demo", "--samples", "50"},
	"survey":      {"demo"},
	"region":      {"REGION"},
	"compare":     {"demo", "--samples", "50"},
	"pack":        {"demo", "--payload", "40"},
	"papers":      {"demo", "--out", "OUT", "--date", "2026-01-02"},
	"assumptions": {"water"},
	"pull":        {"--mass", "2900", "--ground", "mud", "--depth", "hub"},
}

// localSockets are the only things that may be talked to: the display, its session, the desktop's message bus, and the
// C library's cache of user names. A name that begins with @ has no file.
var localSockets = regexp.MustCompile(`^(@?/tmp/\.X11-unix/X\d+|@?/tmp/\.ICE-unix/\d+|@?/tmp/dbus-\w+|/run/dbus/system_bus_socket|/var/run/dbus/system_bus_socket|/run/user/\d+/(bus|wayland-\d+)|/var/run/nscd/socket|/run/nscd/socket)$`)

var (
	traced     = regexp.MustCompile(`^(?:\[pid +\d+\] |\d+ +)?(connect|sendto|socket)\((.*)`)
	family     = regexp.MustCompile(`\b(?:sa_family=)?(AF_[A-Z0-9]+|PF_[A-Z0-9]+)\b`)
	socketPath = regexp.MustCompile(`sun_path=(@?)"([^"]*)"`)
)

// outside gives the system calls of a trace that reach beyond the machine's own display and message bus, and how many
// calls of the three kinds there were.
func outside(trace string) (bad []string, calls int) {
	for line := range strings.Lines(trace) {
		line = strings.TrimSpace(line)
		m := traced.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		calls++
		f := family.FindStringSubmatch(m[2])
		switch {
		case f == nil:
			// sendto on a connected socket carries no address: its connect was looked at.
			if m[1] == "connect" {
				bad = append(bad, line)
			}
		case f[1] == "AF_NETLINK" && (strings.Contains(line, "NETLINK_AUDIT") || strings.Contains(line, "NETLINK_KOBJECT_UEVENT")):
			// A message bus that is started for the program, and drivers, listen to the kernel: no network.
		case f[1] != "AF_UNIX" && f[1] != "AF_LOCAL":
			bad = append(bad, line)
		case m[1] != "socket":
			if p := socketPath.FindStringSubmatch(m[2]); p != nil && !localSockets.MatchString(p[1]+p[2]) {
				bad = append(bad, line)
			}
		}
	}
	return bad, calls
}

// noNetwork runs every verb and the window under strace and fails on a connection to anything but a local socket of
// the display or the message bus. Where strace is missing or may not watch, it says so and passes.
func noNetwork(headless, window string) error {
	fmt.Println("\n== no network: every verb and the window under strace")
	if _, err := exec.LookPath("strace"); err != nil {
		fmt.Println("   strace is not installed: passed over")
		return nil
	}
	if out, err := quiet(nil, "strace", append(traceOptions(os.DevNull), "true")...); err != nil {
		fmt.Println("   strace may not watch programs here, passed over:", strings.TrimSpace(out))
		return nil
	}
	dir, err := os.MkdirTemp("", "lastroad-trace")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if err := traceWorks(dir); err != nil {
		return err
	}
	names, err := verbNames(headless)
	if err != nil {
		return err
	}
	region, err := filepath.Abs(filepath.Join("assets", "demo", "region.osm.gz"))
	if err != nil {
		return err
	}
	for _, v := range names {
		args, ok := verbArgs[v]
		if !ok {
			return fmt.Errorf("the verb %s is not tried for network traffic: add it to verbArgs", v)
		}
		args = append([]string{v}, args...)
		for i, a := range args {
			switch a {
			case "OUT":
				args[i] = filepath.Join(dir, "papers")
			case "REGION":
				args[i] = region
			}
		}
		trace := filepath.Join(dir, "trace-"+v)
		if out, err := quiet(nil, "strace", append(traceOptions(trace), append([]string{headless}, args...)...)...); err != nil {
			return fmt.Errorf("%s under strace: %w: %s", v, err, tail([]byte(out), 500))
		}
		if err := lookAt(v, trace); err != nil {
			return err
		}
	}
	calls, err := traceWindow(window, dir)
	if err != nil {
		return err
	}
	fmt.Printf("   %s: no socket opened; the window: %d calls, all of them local\n", strings.Join(names, ", "), calls)
	return nil
}

func traceOptions(file string) []string {
	return []string{"-f", "-qq", "--seccomp-bpf", "-e", "trace=connect,sendto,socket", "-e", "signal=none", "-o", file}
}

func lookAt(what, file string) error {
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	bad, calls := outside(string(data))
	if len(bad) > 0 {
		return fmt.Errorf("%s opens a connection: %s", what, strings.Join(bad[:min(3, len(bad))], " | "))
	}
	if what != "window" && calls > 0 {
		return fmt.Errorf("%s makes %d calls for sockets and needs none: %s", what, calls, tail(data, 300))
	}
	return nil
}

// traceWorks makes sure that a connection would be seen: it watches a program that opens one to this machine.
func traceWorks(dir string) error {
	if _, err := exec.LookPath("bash"); err != nil {
		return nil
	}
	file := filepath.Join(dir, "probe")
	quiet(nil, "strace", append(traceOptions(file), "bash", "-c", "exec 3<>/dev/tcp/127.0.0.1/9")...)
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	if bad, _ := outside(string(data)); len(bad) == 0 {
		return fmt.Errorf("strace did not see a connection that was opened on purpose: %q", tail(data, 300))
	}
	return nil
}

// verbNames are the verbs that the program's own help names.
func verbNames(binary string) ([]string, error) {
	out, err := quiet(nil, binary, "help")
	if err != nil {
		return nil, fmt.Errorf("help: %w: %s", err, out)
	}
	var names []string
	lines := bufio.NewScanner(strings.NewReader(out))
	for lines.Scan() {
		if f := strings.Fields(lines.Text()); len(f) > 2 && f[0] == "lastroad" && f[1] == strings.ToLower(f[1]) && !strings.HasPrefix(f[1], "[") {
			names = append(names, f[1])
		}
	}
	if len(names) < 8 {
		return nil, fmt.Errorf("help names only %d verbs: %s", len(names), out)
	}
	return names, nil
}

// traceWindow opens the window under strace, walks through its screens and ends it.
func traceWindow(binary, dir string) (calls int, err error) {
	home := filepath.Join(dir, "home")
	if err := os.MkdirAll(home, 0o755); err != nil {
		return 0, err
	}
	s, err := newScreen(1400, 900)
	if err != nil {
		return 0, err
	}
	defer s.close()
	trace := filepath.Join(dir, "trace-window")
	p, err := s.open("strace", home, nil, append(traceOptions(trace), binary)...)
	if err != nil {
		return 0, err
	}
	time.Sleep(2 * time.Second)
	s.do("key", "Escape") // leave the tour for newcomers
	for _, key := range []string{"ctrl+2", "ctrl+3", "ctrl+4", "ctrl+5", "ctrl+1", "ctrl+Down", "F1"} {
		if err := s.do("key", "--clearmodifiers", key); err != nil {
			endTraced(p)
			return 0, err
		}
		time.Sleep(700 * time.Millisecond)
	}
	endTraced(p)
	if err := lookAt("window", trace); err != nil {
		return 0, err
	}
	data, err := os.ReadFile(trace)
	if err != nil {
		return 0, err
	}
	if _, calls = outside(string(data)); calls == 0 {
		return 0, fmt.Errorf("the trace of the window is empty: it cannot have talked to its display")
	}
	return calls, nil
}

// endTraced ends the program that strace watches, and strace with it: killing strace alone would leave it running.
func endTraced(p *program) {
	pid := p.cmd.Process.Pid
	data, _ := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", pid, pid))
	for _, child := range strings.Fields(string(data)) {
		exec.Command("kill", "-KILL", child).Run()
	}
	select {
	case <-p.done:
	case <-time.After(10 * time.Second):
		p.kill()
	}
}
