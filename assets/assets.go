// Package assets holds what is built into the program: the tables of numbers (TOML), the invented
// demo trip, the icon and the texts. It imports nothing of ours and opens nothing on disk.
package assets

import (
	"embed"
	"fmt"
)

//go:embed all:tables all:demo all:words licences.txt
var files embed.FS

// Table returns the bytes of tables/NAME.toml and its display name for error texts.
// It panics when the program was built without that table.
func Table(name string) (data []byte, file string) {
	file = name + ".toml"
	b, err := files.ReadFile("tables/" + file)
	if err != nil {
		panic(fmt.Sprintf("assets: table %s is not built in: %v", file, err))
	}
	return b, file
}

// Demo returns a file of the invented demo trip: "route.gpx", "region.osm.gz", "S32W109.hgt.zip", "trip.toml", or
// "survey.json.gz", what was measured from the others.
// It panics when the program was built without it.
func Demo(name string) []byte {
	b, err := files.ReadFile("demo/" + name)
	if err != nil {
		panic(fmt.Sprintf("assets: demo file %s is not built in: %v", name, err))
	}
	return b
}

// Words returns all files of words: the names and sentences of the tables and of the judging in the languages
// of the program, as lines of fields set apart by tabs. They are joined in the order of their names.
func Words() []byte {
	list, err := files.ReadDir("words")
	if err != nil {
		panic(fmt.Sprintf("assets: the words are not built in: %v", err))
	}
	var out []byte
	for _, f := range list {
		b, err := files.ReadFile("words/" + f.Name())
		if err != nil {
			panic(fmt.Sprintf("assets: %s is not built in: %v", f.Name(), err))
		}
		out = append(append(out, b...), '\n')
	}
	return out
}

// Licences are the licences of everything that is linked into the program: blocks that begin with "=== " and
// the modules that the text below covers. "go run ./cmd/dev licences" writes it.
func Licences() []byte {
	b, err := files.ReadFile("licences.txt")
	if err != nil {
		panic(fmt.Sprintf("assets: the licences are not built in: %v", err))
	}
	return b
}
