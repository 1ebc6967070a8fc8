package cli

import (
	"context"
	"fmt"
	"os"
	"os/signal"

	"bucktail/store"
)

func check(c console, args []string) int {
	f := newFlags("check")
	again := f.Bool("rebuild", false, "first rebuild parts, locations and work list from the entries; the server must not be running")
	data, status, done := recordFlags(c, f, "check [--rebuild] [--data FOLDER]\n\nReads the whole record and says what is wrong: the database, every entry and its chain, every photo.", args, 0)
	if done {
		return status
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	problems, err := checkRecord(ctx, c, data, *again)
	if err != nil {
		return fail(c, err)
	}
	if say(c, problems) > 0 {
		return 1
	}
	if *again {
		fmt.Fprintln(c.out, "Parts, locations and work list were rebuilt from the entries.")
	}
	fmt.Fprintln(c.out, "The record is whole.")
	return 0
}

func checkRecord(ctx context.Context, c console, data string, again bool) ([]store.Problem, error) {
	progress, wipe := bar(c.err)
	defer wipe()
	if again {
		if _, err := os.Stat(data); err != nil { // opening to write would make it
			return nil, err
		}
		s, err := store.Open(data, store.Options{})
		if err != nil {
			return nil, err
		}
		defer s.Close()
		if err := s.Rebuild(ctx, func(done, of int64) {
			if progress != nil {
				progress("adding up", done, of)
			}
		}); err != nil {
			return nil, err
		}
		return s.Check(ctx, progress)
	}
	s, err := store.OpenReadOnly(data, store.Options{})
	if err != nil {
		return nil, err
	}
	defer s.Close()
	return s.Check(ctx, progress)
}

// say lists problems and counts those that are wrong.
func say(c console, problems []store.Problem) (wrong int) {
	for _, p := range problems {
		mark := "note: "
		if p.Wrong {
			mark = "wrong: "
			wrong++
		}
		fmt.Fprintln(c.out, mark+p.Text)
	}
	return wrong
}
