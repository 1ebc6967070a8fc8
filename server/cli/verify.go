package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/signal"

	"bucktail/qc/history"
	"bucktail/qc/report"
	"bucktail/store"
)

// verify is the subcommand verify: it needs no record and no network.
func verify(c console, args []string) int {
	f := newFlags("verify")
	code := f.String("sign-off", "", "`CODE` of a sign-off, as its inspector kept it: say whether it is in the bundle and still holds")
	asJSON := f.Bool("json", false, "write the result as JSON")
	usage := "verify [--json] [--sign-off CODE] BUNDLE.zip\n\n" +
		"Says whether a bundle is as it was exported, or names what was changed, left\n" +
		"out, added or moved; - reads it from standard input. Needs neither the record\n" +
		"nor a network. The status is 0 when the bundle is whole.\n"
	if status, done := parseFlags(c, f, usage, args, 1); done {
		return status
	}
	r, size, done, err := opened(c, f.Arg(0))
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
	if !v.Whole() || *code != "" && !tellSignOff(c, v, *code) {
		return 1
	}
	return 0
}

// tellSignOff says how the sign-off of a code stands.
func tellSignOff(c console, v *report.Verdict, code string) bool {
	for _, s := range v.SignOffs {
		if !history.SameCode(code, s.Code) {
			continue
		}
		if s.Current {
			fmt.Fprintf(c.out, "Sign-off %s, %q by %q: it covers exactly what is here.\n", s.Code, s.Part, s.Name)
		} else {
			fmt.Fprintf(c.out, "Sign-off %s, %q by %q: it is outdated, what it covers is not all that is here.\n", s.Code, s.Part, s.Name)
		}
		return s.Current
	}
	fmt.Fprintf(c.out, "No sign-off in the bundle has the code %q.\n", code)
	return false
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
	for _, d := range m.Damaged {
		fmt.Fprintf(c.out, "note: the record was damaged when this was made: %s\n", d)
	}
	for _, h := range m.LeftOut {
		fmt.Fprintf(c.out, "note: photo %s was damaged or gone when this was made\n", h)
	}
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
	for _, s := range v.Signers {
		vouched := ""
		if !s.Vouched && s.By != "This laptop" {
			vouched = ", not entered by the laptop"
		}
		fmt.Fprintf(c.out, "signed by %q (%s, %s), %d entries, key %s%s\n", s.Name, s.By, s.Role, s.Entries, s.Fingerprint, vouched)
	}
	if v.Number != "" {
		fmt.Fprintf(c.out, "Record number, to compare with a printed page: %s\n", v.Number)
	}
	if v.Sum != "" {
		fmt.Fprintf(c.out, "SHA-256 of its SHA256SUMS, to compare with what the sender told: %s\n", v.Sum)
	}
}
