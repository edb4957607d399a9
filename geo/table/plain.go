package table

import (
	"regexp"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// The two ways in which the TOML reader tells that a value is of the wrong kind; they name Go types, of anonymous
// structs in full.
var (
	wrongKind  = regexp.MustCompile(`(?s)cannot decode TOML (\w+(?: \w+)*?) into (.*)`)
	wrongStore = regexp.MustCompile(`(?s)cannot store an? (array table|table) in an? (.*)`)
)

// Plain says what the TOML reader found wrong in words for whoever wrote the file: "share: a number stands where a
// table is wanted".
func Plain(err *toml.DecodeError) string {
	text := strings.TrimPrefix(err.Error(), "toml: ")
	found, want := "", ""
	if m := wrongKind.FindStringSubmatch(text); m != nil {
		found, want = kindOfTOML(m[1]), m[2]
	} else if m := wrongStore.FindStringSubmatch(text); m != nil {
		found, want = kindOfTOML(m[1]), m[2]
	} else {
		return text
	}
	if i := strings.LastIndex(want, " of type "); i >= 0 && !strings.Contains(want[i:], "}") {
		want = want[i+len(" of type "):]
	} else if i := strings.Index(want, " of type struct {"); i >= 0 {
		want = "struct {"
	}
	reason := found + " stands where " + kindOfGo(want) + " is wanted"
	if key := strings.Join(err.Key(), "."); key != "" {
		reason = key + ": " + reason
	}
	return reason
}

func kindOfTOML(kind string) string {
	switch strings.ToLower(kind) {
	case "string":
		return "a text"
	case "integer", "float":
		return "a number"
	case "boolean", "bool":
		return "true or false"
	case "array", "array table":
		return "a list"
	case "table", "inline table", "inlinetable":
		return "a table"
	}
	return "a " + strings.ToLower(kind)
}

func kindOfGo(kind string) string {
	switch {
	case strings.HasPrefix(kind, "[]"), strings.HasPrefix(kind, "[") || kind == "slice" || kind == "array":
		return "a list"
	case strings.HasPrefix(kind, "float"), strings.HasPrefix(kind, "int"), strings.HasPrefix(kind, "uint"):
		return "a number"
	case kind == "string":
		return "a text"
	case kind == "bool":
		return "true or false"
	case strings.HasPrefix(kind, "struct"), strings.HasPrefix(kind, "map"), strings.TrimPrefix(kind, "*") == "geo.Figure":
		return "a table"
	}
	return "another kind of value"
}
