package cli

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"

	"bucktail/qc/history"
	"bucktail/qc/report"
)

// verify is the subcommand verify: it needs no record and no network.
func verify(c console, args []string) int {
	f := flag.NewFlagSet("verify", flag.ContinueOnError)
	f.SetOutput(c.err)
	code := f.String("sign-off", "", "`CODE` of a sign-off, as its inspector kept it: say whether it is in the bundle and still holds")
	asJSON := f.Bool("json", false, "write the result as JSON")
	f.Usage = func() {
		fmt.Fprint(c.err, "usage: bucktail verify [--json] [--sign-off CODE] OUT.zip\n\n"+
			"Says whether a bundle is as it was exported, or names what was changed, left out, added or moved.\n"+
			"Needs neither the record nor a network. The status is 0 when the bundle is whole.\n\n")
		f.PrintDefaults()
	}
	if err := f.Parse(args); errors.Is(err, flag.ErrHelp) {
		return 0
	} else if err != nil {
		return 2
	}
	if f.NArg() != 1 {
		f.Usage()
		return 2
	}
	v, err := verifyFile(f.Arg(0))
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

func verifyFile(name string) (*report.Verdict, error) {
	r, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	info, err := r.Stat()
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return nil, fmt.Errorf("%q is a folder: name the zip file", name)
	}
	return report.Verify(r, info.Size())
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
