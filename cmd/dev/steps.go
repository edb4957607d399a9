package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// Debian's names of what building and testing the window need.
var (
	buildPackages = []string{"gcc", "libgl1-mesa-dev", "xorg-dev", "libxkbcommon-dev"}
	runPackages   = []string{"libgl1", "libgl1-mesa-dri"}
	testPackages  = []string{"zlib1g-dev", "xvfb", "xdotool", "imagemagick", "poppler-utils", "gdal-bin", "libxml2-utils", "strace"}
)

// need installs the packages that are missing. On a system without apt-get it prints their names and
// goes on: the build will say what it lacks.
func need(packages ...string) error {
	if runtime.GOOS != "linux" {
		return nil
	}
	if _, err := exec.LookPath("apt-get"); err != nil {
		fmt.Println("dev: this is not Debian or Ubuntu; please install what these Debian packages hold:", strings.Join(packages, " "))
		return nil
	}
	var missing []string
	for _, p := range packages {
		out, err := exec.Command("dpkg-query", "-W", "-f", "${Status}", p).Output()
		if err != nil || !strings.Contains(string(out), "install ok installed") {
			missing = append(missing, p)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	var sudo []string
	if os.Geteuid() != 0 {
		if _, err := exec.LookPath("sudo"); err != nil {
			return fmt.Errorf("these packages are missing and you are not root: %s", strings.Join(missing, " "))
		}
		sudo = []string{"sudo"}
	}
	fmt.Println("dev: installing", strings.Join(missing, " "))
	for _, args := range [][]string{{"apt-get", "update", "-qq"}, append([]string{"apt-get", "install", "-y", "-qq", "--no-install-recommends"}, missing...)} {
		args = append(append([]string{}, sudo...), args...)
		cmd := exec.Command(args[0], args[1:]...)
		cmd.Env = append(os.Environ(), "DEBIAN_FRONTEND=noninteractive")
		if out, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("%s: %w\n%s", strings.Join(args, " "), err, tail(out, 2000))
		}
	}
	return nil
}

func tail(b []byte, n int) []byte {
	if len(b) > n {
		return b[len(b)-n:]
	}
	return b
}

// step runs one command in the project's top folder and shows what it prints; env entries are added.
func step(title string, env []string, name string, args ...string) error {
	start := time.Now()
	fmt.Printf("\n== %s\n   %s%s %s\n", title, envText(env), name, strings.Join(args, " "))
	cmd := exec.Command(name, args...)
	cmd.Env = append(os.Environ(), env...)
	cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("%s: %w", title, err)
	}
	fmt.Printf("   done in %.1f s\n", time.Since(start).Seconds())
	return nil
}

func envText(env []string) string {
	if len(env) == 0 {
		return ""
	}
	return strings.Join(env, " ") + " "
}

// quiet runs a command and returns what it printed, with both streams.
func quiet(env []string, name string, args ...string) (string, error) {
	cmd := exec.Command(name, args...)
	cmd.Env = append(os.Environ(), env...)
	out, err := cmd.CombinedOutput()
	return string(out), err
}

// screen is a virtual X display.
type screen struct {
	cmd     *exec.Cmd
	display string
}

// newScreen starts Xvfb on a free display.
func newScreen(width, height int) (*screen, error) {
	r, w, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	cmd := exec.Command("Xvfb", "-displayfd", "3", "-screen", "0", fmt.Sprintf("%dx%dx24", width, height), "-nolisten", "tcp")
	cmd.ExtraFiles = []*os.File{w}
	var log bytes.Buffer
	cmd.Stderr = &log
	if err := cmd.Start(); err != nil {
		w.Close()
		return nil, fmt.Errorf("Xvfb: %w", err)
	}
	w.Close()
	number := make(chan string, 1)
	go func() {
		line, _ := bufio.NewReader(r).ReadString('\n')
		number <- strings.TrimSpace(line)
	}()
	select {
	case n := <-number:
		if n == "" {
			return nil, fmt.Errorf("Xvfb did not start: %s", log.String())
		}
		return &screen{cmd, ":" + n}, nil
	case <-time.After(20 * time.Second):
		cmd.Process.Kill()
		return nil, errors.New("Xvfb did not answer in 20 s")
	}
}

func (s *screen) close() {
	s.cmd.Process.Kill()
	s.cmd.Wait()
}

func (s *screen) env(home string) []string {
	return []string{"DISPLAY=" + s.display, "LIBGL_ALWAYS_SOFTWARE=1", "LANG=en_US.UTF-8", "HOME=" + home, "XDG_CONFIG_HOME=" + filepath.Join(home, "config"),
		"XDG_CACHE_HOME=" + filepath.Join(home, "cache"), "XDG_DATA_HOME=" + filepath.Join(home, "data"), "XDG_STATE_HOME=" + filepath.Join(home, "state"), "LASTROAD_READY=1"}
}

// do drives the display with xdotool.
func (s *screen) do(args ...string) error {
	out, err := quiet([]string{"DISPLAY=" + s.display}, "xdotool", args...)
	if err != nil {
		return fmt.Errorf("xdotool %s: %w: %s", strings.Join(args, " "), err, out)
	}
	return nil
}

// photograph writes the whole display as a picture.
func (s *screen) photograph(file string) error {
	out, err := quiet([]string{"DISPLAY=" + s.display}, "import", "-window", "root", file)
	if err != nil {
		return fmt.Errorf("import: %w: %s", err, out)
	}
	return nil
}

// program is the running window.
type program struct {
	cmd  *exec.Cmd
	out  bytes.Buffer
	done chan error
}

// open starts the window and waits for its ready line.
func (s *screen) open(binary, home string, env []string, args ...string) (*program, error) {
	p := &program{done: make(chan error, 1)}
	p.cmd = exec.Command(binary, args...)
	p.cmd.Env = append(append(os.Environ(), s.env(home)...), env...)
	pipe, err := p.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	p.cmd.Stderr = &p.out
	if err := p.cmd.Start(); err != nil {
		return nil, err
	}
	ready := make(chan struct{}, 1)
	go func() {
		lines := bufio.NewScanner(pipe)
		for lines.Scan() {
			if strings.HasPrefix(lines.Text(), "ready") {
				ready <- struct{}{}
			}
		}
		p.done <- p.cmd.Wait()
	}()
	ctx, cancel := context.WithTimeout(context.Background(), 60*time.Second)
	defer cancel()
	select {
	case <-ready:
		return p, nil
	case err := <-p.done:
		return nil, fmt.Errorf("the window closed before it was ready: %v: %s", err, p.out.String())
	case <-ctx.Done():
		p.cmd.Process.Kill()
		return nil, fmt.Errorf("the window was not ready after 60 s: %s", p.out.String())
	}
}

func (p *program) kill() {
	p.cmd.Process.Kill()
	<-p.done
}
