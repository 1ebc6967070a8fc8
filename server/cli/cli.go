// Package cli is the command line of bucktail: subcommands, their flags, what they print.
//
// This file is the table of subcommands; each lives in a file of its own. They return the exit
// status: 0 done, 1 could not be done (said why), 2 wrong usage. Start with [Run].
package cli

import (
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	"bucktail/server/licences"
)

// console is where a subcommand talks to a person.
type console struct {
	in       io.Reader
	out, err io.Writer
}

type command struct {
	name, summary string
	run           func(c console, args []string) int
}

// commands are listed in the order of their use.
func commands() []command {
	return []command{
		{"serve", "start the workshop's server and say how to reach it", serve},
		{"demo", "serve an invented aircraft's record to look at", showDemo},
		{"backup", "save the whole record into one file", backup},
		{"restore", "put a backup into an empty folder", restore},
		{"check", "read the whole record and say what is wrong", check},
		{"card", "write the page with the scale cards to print", printCards},
		{"export", "write a bundle for the inspector", exportBundle},
		{"verify", "say whether a bundle is as it was exported", verify},
		{"measure", "measure the fasteners on photos and judge them", measurePhotos},
		{"study", "prove a phone on objects of known size, by several photos", proveIt},
		{"layout", "lay rivets out on a flange, an angle's leg or a gusset corner", layOut},
		{"bend", "lay an angle or a channel flat, with its lines; judge its radius", bendFlat},
		{"room", "say whether a tool has room beside a standing leg", toolRoom},
		{"drillup", "name the drills of a rivet's hole and what each hole may measure", drillUp},
		{"rivet", "find the rivet for a stack, with drill, hole and limits", chooseRivet},
		{"shape", "work out twist, squareness and the like, and what spacers keep", measureShape},
		{"link", "ask the running server for a link into the browser", link},
		{"completion", "print what completes the command line in a shell", completion},
		{"man", "print the manual page", man},
		{"licences", "print the licences of what this program is made of", printLicences},
		{"version", "say which build this is", version},
	}
}

// Run runs the subcommand that args begin with and gives the exit status.
func Run(args []string, in io.Reader, out, errs io.Writer) int {
	c := console{in, out, errs}
	if len(args) == 0 {
		usage(c.err)
		return 2
	}
	switch args[0] {
	case "help", "-h", "-help", "--help":
		return help(c, args[1:])
	case "-version", "--version":
		args = append([]string{"version"}, args[1:]...)
	}
	if cmd, ok := commandNamed(args[0]); ok {
		return cmd.run(c, args[1:])
	}
	fmt.Fprintf(c.err, "bucktail: there is no command %q; bucktail help lists them\n", args[0])
	return 2
}

func commandNamed(name string) (command, bool) {
	for _, cmd := range commands() {
		if cmd.name == name {
			return cmd, true
		}
	}
	return command{}, false
}

// help tells of one command, or lists all.
func help(c console, args []string) int {
	if len(args) == 0 || args[0] == "help" {
		usage(c.out)
		return 0
	}
	cmd, ok := commandNamed(args[0])
	if !ok || len(args) > 1 {
		fmt.Fprintf(c.err, "bucktail: there is no command %q; bucktail help lists them\n", strings.Join(args, " "))
		return 2
	}
	return cmd.run(c, []string{"-h"})
}

func usage(w io.Writer) {
	fmt.Fprint(w, "usage: bucktail COMMAND [FLAGS] [FILES]\n\n")
	for _, cmd := range commands() {
		fmt.Fprintf(w, "  %-10s %s\n", cmd.name, cmd.summary)
	}
	fmt.Fprint(w, "\nbucktail help COMMAND tells of one of them.\n")
}

func printLicences(c console, args []string) int {
	if status, done := parseFlags(c, newFlags("licences"), "licences\n\nPrints the licences of the program, of all that is linked into it and of the app's\nlibraries.", args, 0); done {
		return status
	}
	fmt.Fprint(c.out, licences.Text)
	return 0
}

func version(c console, args []string) int {
	if status, done := parseFlags(c, newFlags("version"), "version\n\nSays which build this is: version, commit, compiler, system.", args, 0); done {
		return status
	}
	v, revision := released, ""
	if info, ok := debug.ReadBuildInfo(); ok {
		if v == "" {
			v = info.Main.Version
		}
		revision = " " + setting(info, "vcs.revision")
	}
	if v == "" {
		v = "(devel)"
	}
	revision = strings.TrimRight(revision, " ")
	fmt.Fprintf(c.out, "bucktail %s%s %s %s/%s\n", v, revision, runtime.Version(), runtime.GOOS, runtime.GOARCH)
	return 0
}

// released is the version that make release gives a build; "" for any other.
var released string

// built is when the commit of this build was made, zero where that is not known.
func built() time.Time {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return time.Time{}
	}
	at, err := time.Parse(time.RFC3339, setting(info, "vcs.time"))
	if err != nil {
		return time.Time{}
	}
	return at
}

// setting is one of the settings that a build carries, "" without it.
func setting(info *debug.BuildInfo, key string) string {
	for _, s := range info.Settings {
		if s.Key == key {
			return s.Value
		}
	}
	return ""
}
