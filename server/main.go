// Command bucktail measures drilled holes and set rivets on photos, judges them
// against limits whose source is named, and keeps the record.
package main

import (
	"os"

	"bucktail/server/cli"
)

func main() {
	os.Exit(cli.Run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
