package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"bucktail/qc"
	"bucktail/qc/paper"
	"bucktail/qc/spec"
	"bucktail/qc/template"
	"bucktail/server/measuring"
)

// benchFlags are what the commands for the bench share: the rivet, how lengths are shown, where a
// page goes.
type benchFlags struct {
	*flag.FlagSet
	c      console
	rivet  *string
	pulled *bool
	flush  *bool
	limits names
	units  *string
	json   *bool
	pdf    *string
	paper  *string
}

// names is a flag that may be given several times.
type names []string

func (n *names) String() string     { return strings.Join(*n, " ") }
func (n *names) Set(s string) error { *n = append(*n, s); return nil }

// length is a flag that is read as a builder writes a length; a number alone is millimetres.
type length float64

func (l *length) String() string {
	if *l == 0 {
		return ""
	}
	return fmt.Sprintf("%g mm", float64(*l))
}
func (l *length) Set(s string) error {
	v, err := qc.ParseLength(s, qc.Millimetres)
	*l = length(v)
	return err
}

func newBench(c console, name string) *benchFlags {
	b := &benchFlags{FlagSet: newFlags(name), c: c}
	b.units = b.String("units", "mm", "`UNITS`: mm or in, for what is printed; lengths are typed as 25, 25.4mm, 0.063in or 1/8")
	b.json = b.Bool("json", false, "print one JSON object instead of the table")
	return b
}

func (b *benchFlags) withPDF(what string) {
	b.pdf = b.String("pdf", "", "write "+what+" at 1:1 to `OUT.pdf`")
	b.paper = b.String("paper", "a4", "`SIZE`: a4 or letter")
}

func (b *benchFlags) withRivet() {
	b.rivet = b.String("rivet", "", "`SIZE`: dash number (4), millimetres (3.2mm) or inches (1/8)")
	b.pulled = b.Bool("pulled", false, "a pulled (blind) rivet; metric sizes are, without being told")
	b.flush = b.Bool("flush", false, "its manufactured head is countersunk")
	b.Var(&b.limits, "limits", "`NAME|FILE`: a published set or a file with your own limits; one of each may be given")
}

func (b *benchFlags) lengthVar(name, usage string) *float64 {
	l := new(length)
	b.Var(l, name, "`LENGTH`: "+usage)
	return (*float64)(l)
}

// read parses the command line; done tells that the status is to be returned.
func (b *benchFlags) read(head string, args []string) (status int, done bool) {
	err := b.Parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		writeHelp(b.c.out, b.FlagSet, strings.TrimPrefix(head, "usage: bucktail "))
		return 0, true
	case err == nil && b.NArg() > 0:
		err = fmt.Errorf("unexpected argument %q", b.Arg(0))
	case err == nil:
		if _, err = qc.ParseUnits(*b.units); err == nil && b.pdf != nil {
			_, err = paper.ParseSize(*b.paper)
		}
	}
	if err != nil {
		return b.wrong(err), true
	}
	if !*b.json { // an object stands on a line of its own
		b.c.out = fitted(b.c.out)
	}
	return 0, false
}

func (b *benchFlags) wrong(err error) int {
	return misused(b.c, b.Name(), err)
}

// spec gives the rivet that was said.
func (b *benchFlags) spec() (qc.Spec, error) {
	if *b.rivet == "" {
		return qc.Spec{}, errors.New("--rivet is missing: give its dash number (4) or its diameter (3.2mm, 1/8)")
	}
	use := qc.Use{Kind: qc.ShopHead}
	if *b.pulled {
		use.Kind = qc.PulledHead
	}
	size, err := qc.ParseSize(*b.rivet, use)
	if err != nil {
		return qc.Spec{}, fmt.Errorf("--rivet: %w", err)
	}
	s := qc.Spec{Kind: use.Kind, NominalMM: size.NominalMM, Flush: *b.flush}
	if _, solid := spec.Solid(s.NominalMM); !solid {
		s.Kind = qc.PulledHead
	}
	if s.Kind == qc.PulledHead {
		s.Rivet = qc.Pulled
	}
	err = measuring.ReadLimits(&s, b.limits, func(name string) (io.ReadCloser, error) { return os.Open(name) })
	if err == nil {
		err = s.Valid()
	}
	return s, err
}

func (b *benchFlags) shown() qc.Units {
	u, _ := qc.ParseUnits(*b.units) // read has checked it
	return u
}

func (b *benchFlags) printJSON(v any) int {
	e := json.NewEncoder(b.c.out)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return fail(b.c, err)
	}
	return 0
}

// page writes the PDF, where one was asked for.
func (b *benchFlags) page(p template.Page) error {
	if *b.pdf == "" {
		return nil
	}
	size, _ := paper.ParseSize(*b.paper) // read has checked it
	var out bytes.Buffer
	if err := template.Write(&out, p, template.Options{Paper: size, Made: time.Now()}); err != nil {
		return err
	}
	if err := os.WriteFile(*b.pdf, out.Bytes(), 0o644); err != nil {
		return err
	}
	say := b.c.out
	if *b.json { // which stands there alone
		say = b.c.err
	}
	fmt.Fprintf(say, "%s: print at 100 %%, measure both check lines (%d mm) before you mark anything through it.\n", *b.pdf, template.CheckMM)
	return nil
}

// refused says what can't be done with what was given.
func (b *benchFlags) refused(err error) int {
	var r *qc.Refusal
	if errors.As(err, &r) {
		fmt.Fprintf(b.c.err, "bucktail: %s\n  %s\n", r.Text, r.Do)
		return 1
	}
	return fail(b.c, err)
}
