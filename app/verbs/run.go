package verbs

import (
	"context"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"

	"github.com/alecthomas/kong"

	"lastroad/geo"
)

// The exit statuses.
const (
	Done     = 0
	Findings = 1
	BadInput = 2
)

// Streams are where a verb reads and writes.
type Streams struct {
	Out, Err io.Writer
}

// Window opens the window on the given files and returns an exit status; nil in a build without one.
type Window func(files []string) int

// note tells something that is not part of the output.
func (s Streams) note(text string) { fmt.Fprintln(s.Err, "lastroad: "+text) }

type verb struct {
	name, help string
	run        func(ctx context.Context, args []string, s Streams) int
}

func verbs() []verb {
	return []verb{
		{"judge", "judge a route leg by leg: needs, readiness, odds", judge},
		{"survey", "the measured samples of a route as CSV", surveyVerb},
		{"region", "what a region file holds", region},
		{"compare", "alone, together and other parties, loads or seasons on the same samples", compare},
		{"pack", "what to add next, readiness against kilograms, what may stay at home", pack},
		{"papers", "write trip book, note for home, lists, navigation files, pictures", papersVerb},
		{"assumptions", "every number of the tables with its band and what it rests on", assumptions},
		{"pull", "one recovery worked out from figures given", func(_ context.Context, args []string, s Streams) int { return Pull(args, s.Out, s.Err) }},
	}
}

// Run carries out the command line args (without the program's name) and returns the exit status.
func Run(ctx context.Context, args []string, s Streams, window Window) int {
	if len(args) > 0 {
		switch args[0] {
		case "help", "--help", "-h":
			return say(s, usage(window != nil))
		case "--version", "version":
			return say(s, "lastroad "+Version+"\n")
		}
		for _, v := range verbs() {
			if v.name == args[0] {
				return v.run(ctx, args[1:], s)
			}
		}
		if strings.HasPrefix(args[0], "-") || !strings.ContainsAny(args[0], "./\\") {
			fmt.Fprintf(s.Err, "lastroad: %q is neither a verb nor a file; see lastroad help\n", args[0])
			return BadInput
		}
	}
	if window == nil {
		fmt.Fprintln(s.Err, "lastroad: this build has no window (it was made without cgo); use a verb, see lastroad help")
		return BadInput
	}
	return window(args)
}

// Version is the program's version as people read it.
const Version = "0.1.0"

// say writes text as the whole output and returns the exit status.
func say(s Streams, text string) int {
	if _, err := io.WriteString(s.Out, text); err != nil {
		return fail(s, err)
	}
	return Done
}

func usage(window bool) string {
	var w strings.Builder
	w.WriteString("lastroad: can this vehicle, these people and this load get themselves out of what the route may do to them?\n\n")
	if window {
		w.WriteString("  lastroad [FILE...]        open the window; FILE is a .gpx, .trip, region or height file\n")
	}
	for _, v := range verbs() {
		fmt.Fprintf(&w, "  lastroad %-16s %s\n", v.name, v.help)
	}
	w.WriteString("\nFILE is a .gpx, a .trip, or the word demo. lastroad VERB --help tells the options.\n" +
		"Exit status: 0 done, 1 findings that --fail asked to fail on, 2 bad input or output that cannot be written.\n")
	return w.String()
}

// parse reads a verb's arguments into dst, a pointer to a struct with kong tags. done is true when the
// verb must end at once with status (help was asked for, or the arguments are wrong).
func parse(name, help string, dst any, args []string, s Streams) (status int, done bool) {
	exited := false
	p, err := kong.New(dst, kong.Name("lastroad "+name), kong.Description(help), kong.Writers(s.Out, s.Err), kong.Vars{"samples": "2000", "papers": paperKeys()},
		kong.Exit(func(int) { exited = true }))
	if err != nil {
		panic("verbs: " + name + ": " + err.Error())
	}
	_, err = p.Parse(joinNegative(args))
	if exited {
		return Done, true
	}
	if err != nil {
		return fail(s, fmt.Errorf("%s: %w; see lastroad %s --help", name, err, name)), true
	}
	return Done, false
}

var negative = regexp.MustCompile(`^-[0-9.]`)

// joinNegative writes "--grade -5" as "--grade=-5", which would else be taken for a flag of its own.
func joinNegative(args []string) []string {
	var out []string
	for i := 0; i < len(args); i++ {
		a := args[i]
		if strings.HasPrefix(a, "--") && len(a) > 2 && !strings.Contains(a, "=") && i+1 < len(args) && negative.MatchString(args[i+1]) {
			i++
			a += "=" + args[i]
		}
		out = append(out, a)
	}
	return out
}

// fail prints err as one line and returns the exit status for it.
func fail(s Streams, err error) int {
	var bad *geo.InputError
	text := strings.Join(strings.Fields(err.Error()), " ")
	if errors.As(err, &bad) || text != "" {
		fmt.Fprintln(s.Err, "lastroad: "+text)
	}
	return BadInput
}
