package cli

import (
	"context"
	"fmt"
	"os"
	"os/signal"

	"bucktail/store"
)

func restore(c console, args []string) int {
	f := newFlags("restore")
	data, status, ended := recordFlags(c, f, "restore [--data FOLDER] FILE\n\nPuts a backup into an empty folder and checks all of it. A damaged or changed backup is refused.\nOne with a passphrase asks for it, or reads it from standard input.", args, 1)
	if ended {
		return status
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	in, size, done, err := opened(c, f.Arg(0))
	if err != nil {
		return fail(c, err)
	}
	defer done()
	progress, wipe := bar(c.err)
	m, problems, err := store.Restore(ctx, in, size, data, store.Options{}, progress)
	wipe()
	if err != nil {
		return fail(c, err)
	}
	fmt.Fprintf(c.out, "%s: %s, as of %s\n", data, amount(m), m.MadeAt.Local().Format("2 January 2006, 15:04"))
	for _, d := range m.Damaged {
		fmt.Fprintf(c.out, "the record was damaged when the backup was made: %s\n", d)
	}
	say(c, problems)
	fmt.Fprintln(c.out, "No phone or browser comes in before it is invited again on the laptop's page.")
	return 0
}
