package cli

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"time"

	"bucktail/imaging/card/sheet"
	"bucktail/qc/paper"
	"bucktail/qc/paper/checkline"
)

// printCards is the subcommand card.
func printCards(c console, args []string) int {
	f := flag.NewFlagSet("card", flag.ContinueOnError)
	f.SetOutput(c.err)
	size := f.String("paper", "a4", "a4 or letter")
	number := f.String("sheet", "", "number of the sheet, printed on each card; left open to write without it")
	f.Usage = func() {
		fmt.Fprintf(c.err, "usage: bucktail card [--paper a4|letter] [--sheet NUMBER] OUT.pdf\n\n"+
			"Writes the page with the scale cards. Print it at 100 %% (\"actual size\"), then measure both\n"+
			"check lines: each is %g mm long from mark to mark.\n\n", checkline.NominalMM)
		f.PrintDefaults()
	}
	if err := f.Parse(args); errors.Is(err, flag.ErrHelp) {
		return 0
	} else if err != nil {
		return 2
	}
	z, err := paper.ParseSize(*size)
	if err != nil {
		fmt.Fprintln(c.err, "bucktail:", err)
		return 2
	}
	if f.NArg() != 1 {
		f.Usage()
		return 2
	}
	var b bytes.Buffer
	if err := sheet.Write(&b, sheet.Options{Paper: z, Number: *number, Made: time.Now()}); err != nil {
		return fail(c, err)
	}
	if err := os.WriteFile(f.Arg(0), b.Bytes(), 0o644); err != nil {
		return fail(c, err)
	}
	fmt.Fprintf(c.out, "%s: print at 100 %%, measure both check lines (%g mm), cut out.\n", f.Arg(0), checkline.NominalMM)
	return 0
}
