package cli

import (
	"fmt"

	"bucktail/qc"
	"bucktail/qc/rivetchoice"
)

const rivetHead = `usage: bucktail rivet --rivet SIZE --stack A,B[,C...] [--pulled] [--closed] [FLAGS]

Finds the length of a rivet for a stack of sheets, and puts drill, hole, head, least edge distance and
pitch on one card. A stack in the gap between two grips is not decided: both are named.

`

// chooseRivet is the subcommand rivet.
func chooseRivet(c console, args []string) int {
	b := newBench(c, "rivet")
	b.withRivet()
	stack := b.String("stack", "", "`A,B,...`: thickness of each sheet, from the head's side")
	u := b.lengthVar("stack-u", "expanded uncertainty of the whole stack, where it was measured")
	closed := b.Bool("closed", false, "the last sheet is the wall of a closed tube")
	tube := b.lengthVar("tube", "width of that tube")
	instead := b.Bool("instead", false, "a pulled rivet instead of the drawing's solid one")
	mixed := b.Bool("mixed", false, "solid and pulled ones in one pattern")
	if status, done := b.read(rivetHead, args); done {
		return status
	}
	s, err := b.spec()
	if err != nil {
		return b.wrong(err)
	}
	mm, err := lengths(*stack)
	if err != nil {
		return b.wrong(fmt.Errorf("--stack: %w", err))
	}
	in := rivetchoice.Input{Spec: s, Stack: rivetchoice.Stack{UMM: *u, Closed: *closed, TubeMM: *tube}, Instead: *instead, Mixed: *mixed, Units: b.shown()}
	for _, t := range mm {
		in.Layers = append(in.Layers, rivetchoice.Layer{ThicknessMM: t})
	}
	card, err := rivetchoice.Choose(in)
	if err != nil {
		return b.refused(err)
	}
	if *b.json {
		if status := b.printJSON(card); status != 0 {
			return status
		}
	} else {
		printCard(b, card)
	}
	if card.Ask != "" || card.Verdict == qc.Out {
		return 1
	}
	return 0
}

func printCard(b *benchFlags, c rivetchoice.Card) {
	u, w := b.shown(), b.c.out
	fmt.Fprintf(w, "grip %s\n", u.Value(c.GripMM))
	for _, x := range c.Candidates {
		mark := " "
		if x.First {
			mark = ">"
		}
		fmt.Fprintf(w, "%s %s: %s (%s; %s)\n", mark, x.Name, x.Text, x.Source, x.From)
	}
	if c.Ask != "" {
		fmt.Fprintf(w, "  %s\n", c.Ask)
	}
	if c.Drill != "" {
		fmt.Fprintf(w, "drill %s, pilot %s\n", c.Drill, c.Pilot)
	}
	for _, l := range c.Limits {
		fmt.Fprintf(w, "  %-26s %-20s %s; %s\n", l.Name, l.Text(u), l.Source, l.From)
	}
	for _, x := range append(append([]string{}, c.Inside...), c.Warnings...) {
		fmt.Fprintf(w, "mind: %s\n", x)
	}
	fmt.Fprintln(w, rivetchoice.Caution)
}
