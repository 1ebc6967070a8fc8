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
		{"backup", "save the whole record into one file", backup},
		{"restore", "put a backup into an empty folder", restore},
		{"check", "read the whole record and say what is wrong", check},
		{"card", "write the page with the scale cards to print", printCards},
		{"export", "write a bundle for the inspector", exportBundle},
		{"verify", "say whether a bundle is as it was exported", verify},
		{"measure", "measure the fasteners on photos and judge them", measurePhotos},
		{"layout", "lay rivets out on a flange, an angle's leg or a gusset corner", layOut},
		{"bend", "lay an angle or a channel flat, with its lines and its radius judged", bendFlat},
		{"room", "say whether a tool has room beside a standing leg", toolRoom},
		{"drillup", "name the drills of a rivet's hole and what each hole may measure", drillUp},
		{"rivet", "find the rivet for a stack, with drill, hole and limits", chooseRivet},
		{"shape", "work out twist, squareness and the like, and what spacers keep", measureShape},
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
		usage(c.out)
		return 0
	}
	for _, cmd := range commands() {
		if cmd.name == args[0] {
			return cmd.run(c, args[1:])
		}
	}
	fmt.Fprintf(c.err, "bucktail: there is no command %q\n", args[0])
	usage(c.err)
	return 2
}

func usage(w io.Writer) {
	fmt.Fprint(w, "usage: bucktail COMMAND [FLAGS] [FILES]\n\n")
	for _, cmd := range commands() {
		fmt.Fprintf(w, "  %-10s %s\n", cmd.name, cmd.summary)
	}
	fmt.Fprint(w, "\nbucktail COMMAND -h tells the flags of one command.\n")
}

func version(c console, args []string) int {
	if len(args) > 0 {
		fmt.Fprintf(c.err, "bucktail: version takes no arguments, not %q\n", args)
		return 2
	}
	v, revision := "(devel)", ""
	if info, ok := debug.ReadBuildInfo(); ok {
		if info.Main.Version != "" {
			v = info.Main.Version
		}
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				revision = " " + s.Value
			}
		}
	}
	fmt.Fprintf(c.out, "bucktail %s%s %s %s/%s\n", v, revision, runtime.Version(), runtime.GOOS, runtime.GOARCH)
	return 0
}
