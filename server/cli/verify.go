package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/signal"

	"bucktail/qc/report"
	"bucktail/store"
)

// verify is the subcommand verify: it needs no record and no network.
func verify(c console, args []string) int {
	f := newFlags("verify")
	asJSON := f.Bool("json", false, "write the result as JSON")
	usage := "verify [--json] BUNDLE.zip\n\n" +
		"Says whether a bundle is as it was exported, or names what was changed, left\n" +
		"out, added or moved; - reads it from standard input. Needs neither the record\n" +
		"nor a network. The status is 0 when the bundle is whole.\n"
	if status, done := parseFlags(c, f, usage, args, 1); done {
		return status
	}
	r, size, done, err := openZip(c, f.Arg(0))
	if err != nil {
		return fail(c, err)
	}
	defer done()
	if store.IsBackup(r, size) {
		return verifyBackup(c, r, size)
	}
	v, err := report.Verify(r, size)
	if err != nil {
		return fail(c, err)
	}
	if *asJSON {
		b, err := json.MarshalIndent(v, "", " ")
		if err != nil {
			return fail(c, err)
		}
		fmt.Fprintln(c.out, string(b))
	} else {
		tell(c, v)
	}
	if !v.Whole() {
		return 1
	}
	return 0
}

// verifyBackup says that a backup is one, and whether it is whole.
func verifyBackup(c console, r io.ReaderAt, size int64) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	fmt.Fprintln(c.out, "This is a backup of the whole record, no bundle: bucktail restore puts it into an empty folder.")
	progress, wipe := bar(c.err)
	m, err := store.VerifyBackup(ctx, r, size, progress)
	wipe()
	if err != nil {
		return fail(c, err)
	}
	fmt.Fprintf(c.out, "It is whole: %s, as of %s.\n", amount(m), m.MadeAt.Local().Format("2 January 2006, 15:04"))
	return 0
}

func tell(c console, v *report.Verdict) {
	for _, p := range v.Problems {
		fmt.Fprintf(c.out, "%s: %s\n", p.Change, p.Text)
	}
	for _, n := range v.Notes {
		fmt.Fprintf(c.out, "note: %s\n", n)
	}
	if v.Whole() {
		fmt.Fprintf(c.out, "The bundle is whole: %d files, %d entries.\n", v.Files, v.Entries)
	} else {
		fmt.Fprintf(c.out, "The bundle is not as it was exported.\n")
	}
	if v.Number != "" {
		fmt.Fprintf(c.out, "Record number, to compare with a printed page: %s\n", v.Number)
	}
	if v.Sum != "" {
		fmt.Fprintf(c.out, "SHA-256 of its SHA256SUMS, to compare with what the sender told: %s\n", v.Sum)
	}
}
