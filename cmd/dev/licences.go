package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sort"
	"strings"
)

// module is one that is linked into the program.
type module struct{ path, version, dir string }

func (m module) name() string { return m.path + " " + m.version }

// linked lists the modules of which something is linked into the program, for every system that it is built for:
// with its window on Linux, without one elsewhere.
func linked(top string) ([]module, error) {
	seen := map[module]bool{}
	for _, env := range [][]string{{"GOOS=linux", "CGO_ENABLED=1"}, {"GOOS=windows", "CGO_ENABLED=0"}, {"GOOS=darwin", "GOARCH=arm64", "CGO_ENABLED=0"}} {
		c := exec.Command("go", "list", "-deps", "-tags", "migrated_fynedo",
			"-f", "{{with .Module}}{{if not .Main}}{{with .Replace}}{{.Path}}\t{{.Version}}\t{{.Dir}}{{else}}{{.Path}}\t{{.Version}}\t{{.Dir}}{{end}}{{end}}{{end}}", "./cmd/lastroad")
		c.Dir, c.Env = top, append(os.Environ(), env...)
		var wrong bytes.Buffer
		c.Stderr = &wrong
		out, err := c.Output()
		if err != nil {
			return nil, fmt.Errorf("go list: %v: %s", err, wrong.String())
		}
		for _, line := range strings.Split(string(out), "\n") {
			if f := strings.Split(line, "\t"); len(f) == 3 {
				seen[module{f[0], f[1], f[2]}] = true
			}
		}
	}
	var list []module
	for m := range seen {
		list = append(list, m)
	}
	sort.Slice(list, func(a, b int) bool { return list[a].name() < list[b].name() })
	return list, nil
}

// fontFolder is a folder of a module with typefaces, which have licences of their own.
type fontFolder struct {
	folder string // within the module, with slashes
	files  []string
}

// name is how the list calls it.
func (f fontFolder) name(m module) string {
	return fmt.Sprintf("typefaces in %s of %s: %s", f.folder, m.name(), strings.Join(f.files, "; "))
}

// fontFolders are the folders of a module that hold typefaces beside a licence; those for its tests are left out.
func fontFolders(dir string) (out []fontFolder, err error) {
	err = filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || !e.IsDir() {
			return err
		}
		if n := e.Name(); path != dir && (n == "testdata" || strings.HasPrefix(n, ".") || strings.HasPrefix(n, "_")) {
			return filepath.SkipDir
		}
		entries, err := os.ReadDir(path)
		if err != nil {
			return err
		}
		var files []string
		for _, f := range entries {
			if ext := strings.ToLower(filepath.Ext(f.Name())); ext == ".ttf" || ext == ".otf" {
				files = append(files, f.Name())
			}
		}
		if len(files) > 0 && path != dir && len(licenceFiles(path)) > 0 {
			folder, err := filepath.Rel(dir, path)
			if err != nil {
				return err
			}
			out = append(out, fontFolder{filepath.ToSlash(folder), files})
		}
		return nil
	})
	return out, err
}

// licenceFiles are the files of a module that state its terms.
func licenceFiles(dir string) []string {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range entries {
		upper := strings.ToUpper(e.Name())
		for _, n := range []string{"LICENSE", "LICENCE", "COPYING", "NOTICE", "PATENTS"} {
			if strings.HasPrefix(upper, n) && !e.IsDir() && !strings.HasSuffix(upper, ".GO") {
				out = append(out, e.Name())
				break
			}
		}
	}
	sort.Strings(out)
	return out
}

// licenceText is the text of all licence files of a folder, with the names of the files where there are several.
func licenceText(dir string) (string, error) {
	names := licenceFiles(dir)
	if len(names) == 0 {
		return "", fmt.Errorf("no licence file in %s", dir)
	}
	var b strings.Builder
	for _, n := range names {
		data, err := os.ReadFile(filepath.Join(dir, n))
		if err != nil {
			return "", err
		}
		text := strings.TrimSpace(strings.ReplaceAll(string(data), "\r\n", "\n"))
		text = strings.ReplaceAll(text, "\n=== ", "\n == ")
		if len(names) > 1 {
			fmt.Fprintf(&b, "[%s]\n", n)
		}
		b.WriteString(text + "\n\n")
	}
	return strings.TrimSpace(b.String()), nil
}

// licenceList is the file that the program shows: modules with the same text share a block.
func licenceList(top string) ([]byte, error) {
	mods, err := linked(top)
	if err != nil {
		return nil, err
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, err
	}
	text, err := licenceText(strings.TrimSpace(string(root)))
	if err != nil {
		return nil, err
	}
	names := map[string][]string{text: {"Go standard library"}}
	order := []string{text}
	for _, m := range mods {
		t, err := licenceText(m.dir)
		if err != nil {
			return nil, fmt.Errorf("%s: %v", m.name(), err)
		}
		if names[t] == nil {
			order = append(order, t)
		}
		names[t] = append(names[t], m.name())
		fonts, err := fontFolders(m.dir)
		if err != nil {
			return nil, fmt.Errorf("%s: %v", m.name(), err)
		}
		for _, f := range fonts {
			t, err := licenceText(filepath.Join(m.dir, f.folder))
			if err != nil {
				return nil, fmt.Errorf("%s: %v", m.name(), err)
			}
			if names[t] == nil {
				order = append(order, t)
			}
			names[t] = append(names[t], f.name(m))
		}
	}
	var b bytes.Buffer
	b.WriteString("Licences of what is linked into the program. Written by: go run ./cmd/dev licences\n")
	for _, t := range order {
		slices.Sort(names[t])
		fmt.Fprintf(&b, "\n=== %s\n%s\n", strings.Join(names[t], ", "), t)
	}
	return b.Bytes(), nil
}

// writeLicences writes the list anew after a change of the modules.
func writeLicences([]string) error {
	top, err := root()
	if err != nil {
		return err
	}
	data, err := licenceList(top)
	if err != nil {
		return err
	}
	path := filepath.Join(top, "assets", "licences.txt")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		return err
	}
	fmt.Printf("%s: %d bytes\n", path, len(data))
	return nil
}
