package cli

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"

	"bucktail/store"
)

func restore(c console, args []string) int {
	f := flag.NewFlagSet("restore", flag.ContinueOnError)
	data, status, done := recordFlags(c, f, "restore [--data FOLDER] FILE.zip\n\nPuts a backup into an empty folder and checks all of it. A damaged or changed backup is refused.", args, 1)
	if done {
		return status
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	in, err := os.Open(f.Arg(0))
	if err != nil {
		return fail(c, err)
	}
	defer in.Close()
	info, err := in.Stat()
	if err != nil {
		return fail(c, err)
	}
	progress, wipe := bar(c.err)
	m, problems, err := store.Restore(ctx, in, info.Size(), data, store.Options{}, progress)
	wipe()
	if err != nil {
		return fail(c, err)
	}
	fmt.Fprintf(c.out, "%s: %s, as of %s\n", data, amount(m), m.MadeAt.Local().Format("2 January 2006, 15:04"))
	for _, d := range m.Damaged {
		fmt.Fprintf(c.out, "the record was damaged when the backup was made: %s\n", d)
	}
	say(c, problems)
	return 0
}
