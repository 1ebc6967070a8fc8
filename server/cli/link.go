package cli

import (
	"fmt"

	"bucktail/server/workshop"
)

// link is the subcommand link.
func link(c console, args []string) int {
	f := newFlags("link")
	data, status, done := recordFlags(c, f, "link [--data FOLDER]\n\n"+
		"Asks the running server for a link that lets a browser of this computer in, once\n"+
		"and within five minutes. For a computer without a screen: make a tunnel from the\n"+
		"one that you sit at (ssh -L 8442:localhost:8442 USER@HOST), then open the link\n"+
		"there.\n", args, 0)
	if done {
		return status
	}
	to, err := workshop.AskLink(data)
	if err != nil {
		return fail(c, err)
	}
	fmt.Fprintln(c.out, to)
	return 0
}
