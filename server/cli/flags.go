package cli

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"regexp"
	"strings"
	"unicode/utf8"
)

// helpWidth is how wide help is at most: what every terminal has.
const helpWidth = 80

// newFlags makes the flags of a subcommand. Read them with [parseFlags].
func newFlags(name string) *flag.FlagSet {
	f := flag.NewFlagSet(name, flag.ContinueOnError)
	f.SetOutput(io.Discard)
	return f
}

// parseFlags reads a subcommand's flags; what stands between and behind them is in f.Args() then:
// files names, or at least so many where it is negative. usage is what follows "usage: bucktail"
// in its help. With -h the help goes to the output. done is true when the command ends here, with
// that status.
func parseFlags(c console, f *flag.FlagSet, usage string, args []string, files int) (status int, done bool) {
	rest, err := interleaved(f, args)
	if errors.Is(err, flag.ErrHelp) {
		writeHelp(c.out, f, usage)
		return 0, true
	}
	if err == nil {
		err = f.Parse(append([]string{"--"}, rest...))
	}
	if err != nil {
		return misused(c, f.Name(), err), true
	}
	switch {
	case files == 0 && len(rest) > 0:
		return misused(c, f.Name(), fmt.Errorf("%s takes no arguments, not %q", f.Name(), rest)), true
	case len(rest) == files || files < 0 && len(rest) >= -files:
		return 0, false
	}
	line, _, _ := strings.Cut(usage, "\n")
	return misused(c, f.Name(), fmt.Errorf("%d arguments where the use is: bucktail %s", len(rest), line)), true
}

// oneDash is how the flag package names a flag of several letters; both are read, two dashes are
// written here.
var oneDash = regexp.MustCompile(`(defined: |argument: |flag |for )-([a-z][a-z-]+)`)

// misused says what is wrong with a command line, and where to read on.
func misused(c console, command string, err error) int {
	text := oneDash.ReplaceAllString(err.Error(), "$1--$2")
	fmt.Fprintf(c.err, "bucktail: %s\nbucktail help %s tells how it is used\n", text, command)
	return 2
}

// interleaved parses flags with other arguments before, between and behind them; after -- all
// are other arguments.
func interleaved(f *flag.FlagSet, args []string) (rest []string, err error) {
	for {
		if err := f.Parse(args); err != nil {
			return nil, err
		}
		left := f.Args()
		if len(left) == 0 {
			return rest, nil
		}
		if n := len(args) - len(left); n > 0 && args[n-1] == "--" {
			return append(rest, left...), nil
		}
		rest, args = append(rest, left[0]), left[1:]
	}
}

// writeHelp writes what a command is for and its flags, each with two dashes.
func writeHelp(w io.Writer, f *flag.FlagSet, usage string) {
	var b strings.Builder
	for i, paragraph := range strings.Split("usage: bucktail "+strings.TrimRight(usage, "\n"), "\n\n") {
		if i > 0 {
			b.WriteByte('\n')
		}
		if strings.Contains(paragraph, "\n ") { // lines of their own
			b.WriteString(paragraph + "\n")
			continue
		}
		b.WriteString(wrapped(paragraph, ""))
	}
	first := true
	f.VisitAll(func(l *flag.Flag) {
		if first {
			b.WriteByte('\n')
			first = false
		}
		value, text := flag.UnquoteUsage(l)
		b.WriteString("  " + dashed(l.Name))
		if value != "" {
			b.WriteString(" " + value)
		}
		text, _ = strings.CutPrefix(text, value+": ")
		b.WriteByte('\n')
		if !strings.Contains(text, "(default") && l.DefValue != "" && l.DefValue != "0" && l.DefValue != "false" && l.DefValue != "[]" {
			text += " (default " + l.DefValue + ")"
		}
		b.WriteString(wrapped(text, "        "))
	})
	fmt.Fprint(w, b.String())
}

// dashed is a flag as it is written: a letter with one dash, a word with two.
func dashed(name string) string {
	if len(name) == 1 {
		return "-" + name
	}
	return "--" + name
}

// wrapped breaks a text into lines of [helpWidth], each with an indent.
func wrapped(text, indent string) string {
	var b strings.Builder
	used := 0
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		switch {
		case used == 0:
			b.WriteString(indent)
			used = len(indent)
		case used+1+n > helpWidth:
			b.WriteString("\n" + indent)
			used = len(indent)
		default:
			b.WriteByte(' ')
			used++
		}
		b.WriteString(word)
		used += n
	}
	return b.String() + "\n"
}
