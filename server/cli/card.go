package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"bucktail/imaging/card/sheet"
	"bucktail/qc/paper"
	"bucktail/qc/paper/checkline"
)

// printCards is the subcommand card.
func printCards(c console, args []string) int {
	f := newFlags("card")
	size := f.String("paper", "a4", "`PAPER`: a4 or letter")
	number := f.String("sheet", "", "`NUMBER` of the sheet, printed on each card; left open to write without it")
	usage := fmt.Sprintf("card [--paper a4|letter] [--sheet NUMBER] OUT.pdf\n\n"+
		"Writes the page with the scale cards. Print it at 100 %% (\"actual size\"), then\n"+
		"measure both check lines: each is %g mm long from mark to mark.\n", checkline.NominalMM)
	if status, done := parseFlags(c, f, usage, args, 1); done {
		return status
	}
	z, err := paper.ParseSize(*size)
	if err != nil {
		return misused(c, "card", err)
	}
	var b bytes.Buffer
	if err := sheet.Write(&b, sheet.Options{Paper: z, Number: *number, Made: time.Now()}); err != nil {
		return fail(c, err)
	}
	if err := writeNew(f.Arg(0), b.Bytes()); err != nil {
		return fail(c, err)
	}
	fmt.Fprintf(c.out, "%s: print at 100 %%, measure both check lines (%g mm), cut out.\n", f.Arg(0), checkline.NominalMM)
	return 0
}

// writeNew writes a file that is not there yet.
func writeNew(name string, b []byte) error {
	out, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%q is there already: choose another name, it is not overwritten", name)
	}
	if err != nil {
		return err
	}
	_, err = out.Write(b)
	return errors.Join(err, out.Close())
}
