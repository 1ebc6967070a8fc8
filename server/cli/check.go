package cli

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"slices"

	"bucktail/store"
)

func check(c console, args []string) int {
	f := newFlags("check")
	again := f.Bool("rebuild", false, "first rebuild parts, locations and work list from the entries; the server must not be running")
	accept := f.String("accept", "", "`WHY`: the faults that the record has now were looked at and are accepted, for this reason; kept as an entry, they alarm no more. The server must not be running")
	data, status, done := recordFlags(c, f, "check [--rebuild] [--accept WHY] [--data FOLDER]\n\nReads the whole record and says what is wrong: the database, every entry and its chain, every photo.", args, 0)
	if done {
		return status
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if *accept != "" {
		if err := acceptFaults(ctx, c, data, *accept); err != nil {
			return fail(c, err)
		}
	}
	problems, err := checkRecord(ctx, c, data, *again)
	if err != nil {
		return fail(c, err)
	}
	if say(c, problems) > 0 {
		if slices.ContainsFunc(problems, func(p store.Problem) bool { return p.Database }) {
			fmt.Fprintln(c.out, "What to do:"+store.WhatToDo)
		}
		return 1
	}
	if *again {
		fmt.Fprintln(c.out, "Parts, locations and work list were rebuilt from the entries.")
	}
	fmt.Fprintln(c.out, "The record is whole.")
	return 0
}

func acceptFaults(ctx context.Context, c console, data, why string) error {
	if _, err := os.Stat(data); err != nil { // opening to write would make it
		return err
	}
	s, err := store.Open(data, store.Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	faults, err := s.AcceptFaults(ctx, why)
	for _, f := range faults {
		fmt.Fprintln(c.out, "accepted: "+f)
	}
	return err
}

func checkRecord(ctx context.Context, c console, data string, again bool) ([]store.Problem, error) {
	progress, wipe := bar(c.err)
	defer wipe()
	if again {
		if _, err := os.Stat(data); err != nil { // opening to write would make it
			return nil, err
		}
		aside, wrong, err := store.RebuildDamaged(ctx, data, store.Options{}, progress)
		if err != nil {
			return nil, err
		}
		for _, t := range wrong {
			fmt.Fprintln(c.out, "was wrong: "+t)
		}
		if aside != "" {
			fmt.Fprintf(c.out, "A record of all that is whole was put in its place; the damaged one is kept as\n%s\nEach phone that comes next sends again what it wrote itself.\n", aside)
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
